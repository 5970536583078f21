"""Following as it happens: from a port's thread to bends, pass by pass."""

import time
from types import SimpleNamespace
from typing import Any

import pytest

from score.following.leader_moments import leader_moments
from score.following.live_following import LiveFollowing
from score.playback.sounding import midi_ports
from score.playback.sounding.sound_messages import Bend, PassEnded, Report
from score.playback.sounding.sound_process import Device, SoundProcess
from tests.following.test_following import PIECE, PULSE, SHORT, others_of

MOMENTS = leader_moments(PIECE, SHORT, 1, PULSE)


class Told(list[Bend]):
    """Remembers the bends."""

    def bend(self, bend: Bend) -> None:
        self.append(bend)


def test_each_stroke_bends_and_the_player_is_told_how_it_stands() -> None:
    told = Told()
    following = LiveFollowing(told, MOMENTS, 1.0)
    assert following.words(0.0) == "listening"
    for moment in MOMENTS[:6]:
        following.struck(100 + 1.1 * moment.seconds, min(moment.pitches))
    assert len(told) == 6
    assert told[-1].rate == pytest.approx(1.1, abs=0.03)
    assert told[-1].moment == pytest.approx(100 + 1.1 * told[-1].seconds, abs=0.02)
    assert following.words(MOMENTS[5].seconds) == "with you"
    assert following.words(told[-1].until) == "waiting for you"


def test_from_here_takes_the_next_stroke_for_the_one_at_hand() -> None:
    told = Told()
    following = LiveFollowing(told, MOMENTS, 1.0)
    following.struck(0.0, None)
    following.begin(MOMENTS[20].seconds - 0.02)
    following.struck(5.0, None)
    assert (told[-1].seconds, told[-1].moment) == (MOMENTS[20].seconds, 5.0)


def test_a_port_tells_every_note_struck(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[Any] = []

    def open_input(name: str, callback: Any) -> Any:
        calls.append(name)
        for kind, note, velocity in (("note_on", 60, 80), ("note_off", 60, 0), ("note_on", 62, 0), ("note_on", 64, 1)):
            callback(SimpleNamespace(type=kind, note=note, velocity=velocity))
        callback(SimpleNamespace(type="control_change"))
        return "port"

    monkeypatch.setattr(midi_ports, "_backend", lambda: SimpleNamespace(open_input=open_input))
    notes: list[int] = []
    assert midi_ports.open_input("pad", notes.append) == "port"
    assert (calls, notes) == (["pad"], [60, 64])


def test_the_process_goes_with_a_player_who_is_faster() -> None:
    process = SoundProcess(Device(audio=False))
    process.start()
    try:
        others = others_of(SHORT)
        following = LiveFollowing(process, MOMENTS, 1.0)
        process.load(others)
        process.play()
        reports: list[Report] = []
        began = time.perf_counter()
        # All strokes as they will be, at 2.4 times the tempo: the process is told before they come.
        for moment in MOMENTS:
            following.struck(began + 0.5 + (moment.seconds - MOMENTS[0].seconds) / 2.4, min(moment.pitches))
        while not any(isinstance(report, PassEnded) for report in reports):
            reports += process.reports()
            time.sleep(0.005)
        assert time.perf_counter() - began < 0.75 * others.seconds
    finally:
        process.close()

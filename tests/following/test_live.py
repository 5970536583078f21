"""Following as it happens: from a port's thread to bends, pass by pass."""

import math
import random
import time
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from score.following.leader_moments import LeaderMoment, leader_moments
from score.following.leaps import LeapFinder
from score.following.live_following import LiveFollowing, Together
from score.playback.sounding import midi_ports
from score.playback.sounding.sound_messages import Bend, PassEnded, Report
from score.playback.sounding.sound_process import Device, SoundProcess
from tests.following.test_following import LONG, PIECE, PULSE, SHORT, others_of

MOMENTS = leader_moments(PIECE, SHORT, 1, PULSE)


class Told(list[Bend]):
    """Remembers the bends, and where it began to play."""

    def __init__(self) -> None:
        super().__init__()
        self.begun: list[float] = []

    def bend(self, bend: Bend) -> None:
        self.append(bend)

    def play(self, seconds: float = 0.0) -> None:
        self.begun.append(seconds)


def test_each_stroke_bends_and_the_player_is_told_how_it_stands() -> None:
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 1.0)
    assert following.together(0.0) == "listening"
    for moment in MOMENTS[:6]:
        following.struck(100 + 1.1 * moment.seconds, min(moment.pitches))
    assert len(told) == 6
    assert told[-1].rate == pytest.approx(1.1, abs=0.03)
    assert told[-1].moment == pytest.approx(100 + 1.1 * told[-1].seconds, abs=0.02)
    assert following.together(MOMENTS[5].seconds) == "with you"
    assert following.together(told[-1].until) == "waiting for you"


def test_from_here_takes_the_next_stroke_for_the_one_at_hand() -> None:
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 1.0)
    following.struck(0.0, None)
    following.begin(MOMENTS[20].seconds - 0.02)
    following.struck(5.0, None)
    assert (told[-1].seconds, told[-1].moment) == (MOMENTS[20].seconds, 5.0)


def test_give_nothing_and_the_sound_process_hears_nothing() -> None:
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 0.0)
    for moment in MOMENTS[:10]:
        following.struck(100 + 1.3 * moment.seconds, min(moment.pitches))
    assert told == []
    following.set_give(1.0, 130.0)
    following.struck(100 + 1.3 * MOMENTS[10].seconds, min(MOMENTS[10].pitches))
    assert len(told) == 1
    # Taken back, they keep what they have come to, at the written rate.
    following.set_give(0.0, 131.0)
    assert (told[-1].rate, told[-1].moment, told[-1].until) == (1.0, 131.0, float("inf"))
    following.struck(132.0, 60)
    assert len(told) == 2


def test_a_bar_that_was_named_is_waited_at() -> None:
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 1.0)
    following.wait_at(MOMENTS[12].seconds, 50.0)
    assert told.begun == [MOMENTS[12].seconds]
    assert told[-1].until == MOMENTS[12].seconds
    following.struck(58.0, min(MOMENTS[12].pitches))
    assert (told[-1].seconds, told[-1].moment) == (MOMENTS[12].seconds, 58.0)
    assert told[-1].until > MOMENTS[13].seconds


def test_the_others_go_where_a_player_has_gone_after_a_silence_unless_told_not_to() -> None:
    moments = leader_moments(PIECE, LONG, 1, PULSE)
    rows = [tuple(m.pitches for m in moments[i : i + 6]) for i in range(len(moments) - 5)]
    target = next(i for i in range(60, 300) if rows.count(rows[i]) == 1 and all(len(p) == 1 for p in rows[i]))
    for leaps in (True, False):
        told = Told()
        following = LiveFollowing(told, {1: moments}, 1.0)
        following.leaps = leaps
        start = 20
        following.begin(moments[start].seconds)
        for moment in moments[start : start + 12]:
            following.struck(100 + moment.seconds, min(moment.pitches, default=None))
        begins = 104 + moments[start + 12].seconds
        for moment in moments[target : target + 6]:
            following.struck(begins + moment.seconds - moments[target].seconds, min(moment.pitches))
        assert len(told.begun) == leaps
        if leaps:
            # At the latest with the sixth moment, and on with the player from there.
            assert told.begun[0] in [moment.seconds for moment in moments[target + 2 : target + 6]]
            assert told[-1].seconds == moments[target + 5].seconds


def test_no_leap_is_looked_for_at_holds_and_in_rests() -> None:
    pitches = [60, 62, 64, 65, 67, 69, 71, 72, 74, 76, 77, 79, 81, 83, 84, 86]
    plain = tuple(LeaderMoment(0.5 * i, frozenset({p}), until=0.5 * i) for i, p in enumerate(pitches))
    held = tuple(m._replace(waits=i == 4) for i, m in enumerate(plain))
    rested = tuple(m._replace(seconds=m.seconds + (3.0 if i >= 4 else 0.0)) for i, m in enumerate(plain))
    for moments, leap in ((plain, 14), (held, None), (rested, None)):
        finder = LeapFinder(moments)
        for i in range(4):
            assert finder.heard(10 + moments[i].seconds, pitches[i], i - 1, 1.0) is None
        answers = [finder.heard(20 + 0.5 * i, pitches[12 + i], 3, 1.0) for i in range(3)]
        assert answers == [None, None, leap]


def test_who_is_lost_is_told_and_who_is_silent_is_waited_for() -> None:
    following = LiveFollowing(Told(), {1: MOMENTS}, 1.0)
    for moment in MOMENTS[:6]:
        following.struck(100 + moment.seconds, min(moment.pitches))
    for number in range(4):
        following.struck(100 + MOMENTS[5].seconds + 0.11 * (number + 1), 21)
    assert following.together(MOMENTS[5].seconds) is Together.LOST
    # One that fits may be chance, with the second they are together again.
    for moment in MOMENTS[6:8]:
        following.struck(100 + moment.seconds, min(moment.pitches))
    assert following.together(MOMENTS[7].seconds) is Together.WITH


def test_a_stroke_long_before_a_first_entry_begins_nothing() -> None:
    late = tuple(m._replace(seconds=m.seconds + 8, until=m.until + 8) for m in MOMENTS)
    told = Told()
    following = LiveFollowing(told, {1: late}, 1.0)
    following.at(1.0, 100.0)
    following.struck(100.5, min(MOMENTS[0].pitches))
    assert told == []
    following.at(7.9, 106.9)
    following.struck(107.1, min(MOMENTS[0].pitches))
    assert told[-1].seconds == late[0].seconds


def test_a_port_that_is_gone_lets_the_others_go_on() -> None:
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 1.0)
    for moment in MOMENTS[:6]:
        following.struck(100 + 1.2 * moment.seconds, min(moment.pitches))
    following.let_go(100 + 1.2 * MOMENTS[6].seconds)
    assert told[-1].until == float("inf")
    assert told[-1].rate == pytest.approx(1.2, abs=0.05)
    assert following.together(0.0) is Together.LISTENING


@pytest.mark.parametrize("seed", [101, 102])
def test_a_flood_and_a_clock_that_goes_back_are_borne(seed: int) -> None:
    rng = random.Random(seed)
    told = Told()
    following = LiveFollowing(told, {1: MOMENTS}, 1.0)
    spent = time.process_time()
    for number in range(1000):
        following.struck(100 + number / 1000 - (3.0 if number == 500 else 0.0), rng.randrange(128))
    assert time.process_time() - spent < 1.0
    assert all(math.isfinite(bend.moment) and 0.3 < bend.rate < 3 for bend in told)
    assert all(after.moment >= before.moment - 1e-9 for before, after in pairwise(told))


def test_a_port_tells_every_note_struck(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[Any] = []

    def open_input(name: str, callback: Any) -> Any:
        calls.append(name)
        for kind, note, velocity in (("note_on", 60, 80), ("note_off", 60, 0), ("note_on", 62, 0), ("note_on", 64, 1)):
            callback(SimpleNamespace(type=kind, note=note, velocity=velocity, channel=note % 2))
        callback(SimpleNamespace(type="control_change"))
        return "port"

    monkeypatch.setattr(midi_ports, "_backend", lambda: SimpleNamespace(open_input=open_input))
    notes: list[tuple[int, int]] = []
    assert midi_ports.open_strokes("pad", lambda *note: notes.append(note)) == "port"
    assert (calls, notes) == (["pad"], [(60, 80), (64, 1)])
    midi_ports.open_strokes("pad", lambda *note: notes.append(note), 2)
    assert notes[2:] == []


@pytest.mark.campaign
def test_the_process_goes_with_a_player_who_is_faster() -> None:
    process = SoundProcess(Device(audio=False))
    process.start()
    try:
        others = others_of(SHORT)
        following = LiveFollowing(process, {1: MOMENTS}, 1.0)
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

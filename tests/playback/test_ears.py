"""Ears of the sound process: frames played and heard are counted alike, what is lost is said, nothing stays open."""

import time
from collections.abc import Callable, Iterator
from functools import partial
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.playback.sound_events import Strike, Timeline
from score.playback.sounding.sound_messages import Caught, EarLost, EarsFound, Listen, PassTime, Report, Stopped, Struck
from score.playback.sounding.sound_process import Device, SoundProcess
from score.strokes.heard_stroke import MIDI

SOURCE = '''
"""A MIDI backend for mido whose input is written in a file, a line a message; the port vanishes with the file."""
import os, threading, time
import mido

class Input:
    def __init__(self, name=None, callback=None, **kwargs):
        if name == "refuses":
            raise OSError("the port is busy")
        self.name, self.closed, self.callback = name, False, callback
        threading.Thread(target=self.run, daemon=True).start()

    def run(self):
        done = 0
        while not self.closed and os.path.exists(os.environ["PAD_FILE"]):
            lines = open(os.environ["PAD_FILE"]).read().splitlines()
            for line in lines[done:]:
                self.callback(mido.Message.from_str(line))
            done = len(lines)
            time.sleep(0.005)

    def close(self):
        self.closed = True

def get_devices(**kwargs):
    here = os.path.exists(os.environ["PAD_FILE"])
    return [{"name": "pad", "is_input": True, "is_output": False}] if here else []
'''


@pytest.fixture
def pad(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file that stands for a MIDI pad: what is written into it was struck."""
    (tmp_path / "pad_backend.py").write_text(SOURCE)
    (tmp_path / "pad").write_text("")
    monkeypatch.syspath_prepend(str(tmp_path))  # a spawned process takes this over
    monkeypatch.setenv("MIDO_BACKEND", "pad_backend")
    monkeypatch.setenv("PAD_FILE", str(tmp_path / "pad"))
    return tmp_path / "pad"


@pytest.fixture
def started() -> Iterator[Callable[[Device], SoundProcess]]:
    running: list[SoundProcess] = []

    def start(device: Device) -> SoundProcess:
        running.append(SoundProcess(device))
        running[-1].start()
        return running[-1]

    yield start
    for player in running:
        player.close()


def until(player: SoundProcess, wanted: Callable[[Report], bool], seconds: float = 30.0) -> list[Report]:
    """Every report up to the wanted one, and what came with it."""
    reports: list[Report] = []
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        new = player.reports()
        reports += new
        if any(map(wanted, new)):
            return reports
        time.sleep(0.005)
    raise AssertionError(reports)


def notes(count: int) -> Timeline:
    strikes = tuple(Strike(0.1 * i, 0.1, 1, voice="marimba", pitch=60.0, velocity=90, offset=i) for i in range(count))
    return Timeline(strikes, 0.1 * count)


def test_a_midi_pad_is_heard_with_pitch_and_velocity_and_said_when_it_is_pulled_out(pad: Path, started) -> None:
    player = started(Device(audio=False))
    player.look_for_ears()
    (found,) = [report for report in until(player, lambda r: isinstance(r, EarsFound)) if isinstance(report, EarsFound)]
    assert found.ports == ("pad",)
    player.listen(Listen("pad"))
    before = time.perf_counter()
    pad.write_text(
        "note_on note=64 velocity=127\nnote_on note=64 velocity=0\nnote_off note=64\nnote_on note=67 velocity=64\n"
    )
    struck = [
        r.stroke
        for r in until(player, lambda r: isinstance(r, Struck) and r.stroke.pitch == 67)
        if isinstance(r, Struck)
    ]
    assert [(stroke.pitch, round(stroke.level, 2), stroke.source) for stroke in struck] == [
        (64, 1.0, MIDI),
        (67, 0.5, MIDI),
    ]
    assert before < struck[0].seconds < time.perf_counter()
    player.load(notes(60))
    player.play()
    pad.unlink()
    reports = until(player, lambda r: isinstance(r, Stopped))
    (lost,) = [report for report in reports if isinstance(report, EarLost)]
    assert "pad has gone: plug it in" in lost.text


def test_a_port_that_refuses_is_one_line(pad: Path, started) -> None:
    player = started(Device(audio=False))
    player.listen(Listen("refuses"))
    (lost,) = [r for r in until(player, lambda r: isinstance(r, EarLost)) if isinstance(r, EarLost)]
    assert "\n" not in lost.text
    assert "cannot be opened" in lost.text


def caught_in(reports: list[Report]) -> list[Caught]:
    """What was caught since the last pass began."""
    first = max((at for at, report in enumerate(reports) if isinstance(report, PassTime)), default=0)
    return [report for report in reports[first:] if isinstance(report, Caught)]


def heard_from(reports: list[Report], frame: int) -> np.ndarray:
    blocks = caught_in(reports)
    assert all(a.frame + len(a.heard) // 4 == b.frame for a, b in pairwise(blocks))
    return np.concatenate([np.frombuffer(block.heard, np.float32) for block in blocks])[frame - blocks[0].frame :]


def test_a_file_is_heard_as_if_it_were_played_now_and_anew_with_each_pass(tmp_path: Path, started) -> None:
    wave = np.random.default_rng(5).uniform(-0.5, 0.5, 24_000).astype(np.float32)
    soundfile.write(tmp_path / "take.wav", wave, 48_000, subtype="FLOAT")
    player = started(Device(audio=False))
    player.listen(Listen(file=str(tmp_path / "take.wav")))
    player.load(notes(6))
    for _ in range(2):
        player.play()
        reports = until(player, lambda r: isinstance(r, Stopped))
        begins = frame_of(reports)
        reports += until(player, partial(is_caught_after, begins + 30_000))
        heard = heard_from(reports, begins)
        np.testing.assert_array_equal(heard[:24_000], wave)
        assert not heard[24_000:].any()
        sent = np.concatenate([np.frombuffer(block.sent, np.float32) for block in caught_in(reports)])
        assert np.abs(sent).max() > 0.01


def is_caught_after(frame: int, report: Report) -> bool:
    return isinstance(report, Caught) and report.frame >= frame


def frame_of(reports: list[Report]) -> int:
    return [report.frame for report in reports if isinstance(report, PassTime)][-1]


@pytest.mark.parametrize("name", ["missing.wav", "notes.txt"])
def test_a_file_that_is_no_sound_is_one_line_and_the_pass_goes_on(tmp_path: Path, started, name: str) -> None:
    (tmp_path / "notes.txt").write_text("no sound")
    player = started(Device(audio=False))
    player.listen(Listen(file=str(tmp_path / name)))
    player.load(notes(3))
    player.play()
    reports = until(player, lambda r: isinstance(r, Stopped))
    (lost,) = [report for report in reports if isinstance(report, EarLost)]
    assert "\n" not in lost.text
    assert name in lost.text


def test_a_card_plays_and_hears_in_the_same_frames_and_is_closed_after_the_pass(started) -> None:
    """The null device of the audio library: silence, in real time."""
    player = started(Device(backend="NULL"))
    player.listen(Listen(microphone=True))
    player.load(notes(8))
    player.play()
    reports = until(player, lambda r: isinstance(r, Stopped))
    assert frame_of(reports) >= 0
    blocks = caught_in(reports)
    assert sum(len(block.heard) // 4 for block in blocks) > 20_000
    assert all(len(block.heard) == len(block.sent) for block in blocks)
    heard_from(reports, frame_of(reports))
    deadline = time.monotonic() + 20
    quiet_since = time.monotonic()
    while time.monotonic() - quiet_since < 0.5:
        assert time.monotonic() < deadline
        if caught_in(player.reports()):
            quiet_since = time.monotonic()
        time.sleep(0.02)


def test_without_a_microphone_one_line_says_what_to_do_and_the_pass_goes_on(started) -> None:
    player = started(Device(backend="JACK"))
    player.listen(Listen(microphone=True))
    player.load(notes(3))
    player.play()
    reports = until(player, lambda r: isinstance(r, Stopped))
    (lost,) = [report for report in reports if isinstance(report, EarLost)]
    assert lost.text.startswith("No microphone: plug one in or let your terminal use it (")

"""How long after a stroke its light stands in the terminal: a simulated card, the whole program, a pseudo-terminal.

The card hears what it plays, a fixed delay later, block by block as the real one is asked for; the player's own part
is all that is played. Times are from a stroke's moment on the card's clock to when the ear told it, and to when its
sign was read from the terminal. They say something on a quiet machine only, or where all of this goes before others
(`chrt -r 1` on Linux); what of them is no waiting for a processor is tested in tests/playback/test_card_ear.py.

Run by hand: python -m pytest tests/bench/bench_light.py -s
"""

import json
import os
import select
import shutil
import time
from pathlib import Path

import numpy as np
import pytest

from score.places import find_bar
from score.reading import read_score
from score.takes.expected_strokes import expected_pass
from score.time.pulse import PulseOptions
from score.time.route import bars as bars_route
from tests.playback.card_library import write_card_library
from tests.tui.screen_reader import ScreenReader
from tests.tui.test_terminal import Terminal
from tui.practice_setting import CLICKS

SAMPLES = Path(__file__).parents[2] / "samples"
RATE, DELAY = 48_000, 0.07
"""Of the card: frames a second, and seconds from what it plays to what it hears."""
LATEST = 150.0
"""Milliseconds after which a light is none."""
SIGNS = "⠉⠒⠶⠤⣀"
# A card that hears what it plays, a fixed time later; it goes by the clock. It writes down what is told and when.
CARD = """
RATE, DELAY = 48_000, 0.07

def note(**what):
    with open(os.environ["CARD_NOTES"], "a") as file:
        file.write(json.dumps(what) + "\\n")

class PlaybackDevice(Card):
    def run(self):
        begun, done = time.perf_counter(), 0
        while self.open:
            self.sound.send(self.frames)
            done += self.frames
            time.sleep(max(0.0, begun + done / RATE - time.perf_counter()))

class DuplexStream(Card):
    def run(self):
        import numpy
        try:
            # As the library does with the threads of a real one.
            os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(2))
        except (OSError, AttributeError):
            pass
        played = bytes(4 * round(DELAY * RATE))
        begun, done = time.perf_counter(), 0
        note(begun=begun, block=self.frames)
        while self.open:
            # A block is handed over when its last frame has been heard.
            time.sleep(max(0.0, begun + (done + self.frames) / RATE - time.perf_counter()))
            heard, played = played[:4 * self.frames], played[4 * self.frames:]
            out = self.sound.send(heard)
            played += numpy.frombuffer(out, numpy.float32).reshape(-1, 2).mean(axis=1).tobytes()
            done += self.frames

from score.playback.sounding.sound_process import Ears, _Service
tell = _Service.report
def told(self, report):
    kind = type(report).__name__
    if kind in ("PassTime", "StoodOut", "PassEnded"):
        note(**{kind: getattr(report, "frame", 0), "at": time.perf_counter()})
    tell(self, report)
_Service.report = told
opened = Ears.card
def card(self, backend):
    self._report = self._report.__self__.report
    return opened(self, backend)
Ears.card = card
"""


class Reader:
    """Reads the terminal and notes when a sign came where none was."""

    def __init__(self, here: Terminal) -> None:
        self.here, self.screen = here, ScreenReader(80, 24)
        self.lights: list[float] = []
        self.signs: set[tuple[int, int]] = set()

    def read(self, seconds: float) -> None:
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            if select.select([self.here.master], [], [], left)[0]:
                written, now = os.read(self.here.master, 1 << 16), time.perf_counter()
                self.screen.feed(written)
                before, self.signs = self.signs, self._signs()
                self.lights += [now] * len(self.signs - before)

    def _signs(self) -> set[tuple[int, int]]:
        return {(y, x) for y, row in enumerate(self.screen.cells) for x, cell in enumerate(row) if cell.text in SIGNS}


def notes(path: Path) -> list[dict[str, float]]:
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


def opened(here: Terminal) -> None:
    """The practice screen; the player alone sounds, without click and count-in."""
    here.until(b"Which player")
    here.press(b"2")
    here.until(b"you: 2")
    for keys in (b"/", b"B", b"\r", b"\r"):
        here.press(keys, 1.5)
    here.until(b"count-in")
    for keys in (b"[", *[b"\x1b[C"] * 4, b"]", *b"134ooii", b"k", *[b"\x1b[B"] * CLICKS.index("none"), b"\r"):
        here.press(bytes([keys]) if isinstance(keys, int) else keys)
    here.drain(3.0)


def strokes(score: Path) -> list[float]:
    """Seconds of what is played, from the beginning of the five bars."""
    piece = read_score(score).piece
    first = find_bar(piece, "B")
    route = bars_route(piece, range(first, first + 5))
    return [stroke.seconds for stroke in expected_pass(piece, route, 2, PulseOptions()).strokes]


def test_the_light_comes_within_thirty_milliseconds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_card_library(tmp_path, CARD)
    written = tmp_path / "notes"
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{Path(__file__).parents[2]}")
    monkeypatch.setenv("CARD_NOTES", str(written))
    score = Path(shutil.copy(SAMPLES / "quartet.musicxml", tmp_path / "quartet.musicxml"))
    (tmp_path / "inbreath").mkdir()
    (tmp_path / "inbreath" / "settings.toml").write_text('ear = "microphone, headphones on"\nnotation = "text"\n')
    here = Terminal(tmp_path, str(score))
    reader = Reader(here)
    try:
        opened(here)
        here.press(b" ", 0.0)
        while not any("PassEnded" in note for note in notes(written)):
            reader.read(0.5)
    finally:
        here.close()
    told = notes(written)
    card = next(note for note in told if "begun" in note)
    begins = next(note["PassTime"] for note in told if "PassTime" in note) / RATE + card["begun"] + DELAY
    moments = [begins + seconds for seconds in strokes(score)]
    ears = sorted(note["at"] for note in told if "StoodOut" in note)
    print(f"\n  blocks of {1000 * card['block'] / RATE:.0f} ms; milliseconds at 5, 50, 95, 100 %")
    for where, times in (("at the ear", ears), ("in the terminal", reader.lights)):
        late = [1000 * (min(after) - moment) for moment in moments if (after := [t for t in times if t > moment])]
        late = [ms for ms in late if ms < LATEST]
        shares = np.percentile(late, [5, 50, 95, 100])
        print(f"  {where}: {len(late)} of {len(moments)}, after {', '.join(f'{ms:.1f}' for ms in shares)}")
    assert len(late) >= 0.9 * len(moments)
    assert shares[2] <= 30

"""How long after a stroke its light is drawn: a simulated card by the clock, the sound process, its pipe, the screen.

The card hears what it plays, a fixed delay later, block by block as the real one is asked for; the player's own part is
all that is played. Times are from a stroke's moment on the card's clock to the drawing of its sign. They say
something on a quiet machine only; what of them is no waiting for a processor is tested in
tests/playback/test_card_ear.py.

Run by hand: python -m pytest tests/bench/bench_light.py -s
"""

import json
import shutil
import time
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from textual.pilot import Pilot

from score.playback.sounding.sound_process import Device, SoundProcess
from score.takes.expected_strokes import expected_pass
from score.takes.history import History
from tests.tui.stand_steps import holds, use
from tests.tui.test_practice import practise
from tui.app import InbreathApp
from tui.ear_choice import EarChoice, EarKind
from tui.settings import Settings
from tui.widgets.cells_view import CellsView

SAMPLES = Path(__file__).parents[2] / "samples"
DELAY = 0.07
PICTURES = 120
"""Pictures a second, as the screens are started with."""
CARD = '''
"""A card that hears what it plays, a fixed time later; it goes by the clock."""
import enum, json, os, threading, time

class MiniaudioError(Exception): ...
class SampleFormat(enum.Enum):
    FLOAT32 = 1
class Backend(enum.Enum):
    NULL = 0
    SIMULATED = 1
RATE, DELAY = 48_000, 0.07

class _Device:
    def __init__(self, *, buffersize_msec, callback_periods, sample_rate, **rest):
        self.frames = sample_rate * buffersize_msec // 1000
        self.open = True
    def start(self, sound):
        self.sound = sound
        threading.Thread(target=self.run, daemon=True).start()
    def close(self):
        self.open = False

class PlaybackDevice(_Device):
    def run(self):
        begun, done = time.perf_counter(), 0
        while self.open:
            self.sound.send(self.frames)
            done += self.frames
            time.sleep(max(0.0, begun + done / RATE - time.perf_counter()))

class DuplexStream(_Device):
    def run(self):
        played = bytes(4 * round(DELAY * RATE))
        begun, done = time.perf_counter(), 0
        with open(os.environ["CARD_CLOCK"], "w") as file:
            json.dump({"begun": begun, "block": self.frames}, file)
        while self.open:
            # A block is handed over when its last frame has been heard.
            time.sleep(max(0.0, begun + (done + self.frames) / RATE - time.perf_counter()))
            heard, played = played[:4 * self.frames], played[4 * self.frames:]
            out = self.sound.send(heard)
            import numpy
            played += numpy.frombuffer(out, numpy.float32).reshape(-1, 2).mean(axis=1).tobytes()
            done += self.frames
'''


def test_the_light_comes_within_thirty_milliseconds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "miniaudio.py").write_text(CARD)
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setenv("CARD_CLOCK", str(tmp_path / "clock.json"))
    monkeypatch.setenv("TERM", "xterm-256color")
    score = Path(shutil.copy(SAMPLES / "quartet.musicxml", tmp_path / "quartet.musicxml"))
    player = SoundProcess(Device(backend="SIMULATED"))
    player.start()
    monkeypatch.setattr("textual.screen.UPDATE_PERIOD", 1 / PICTURES)
    lights: dict[tuple[int, Fraction], float] = {}
    strokes: dict[tuple[int, Fraction], float] = {}

    async def steps(pilot: Pilot[int]) -> None:
        screen: Any = await opened(pilot)
        frames: list[int] = []
        heard = type(screen)._heard

        def watch(self: Any, report: Any) -> None:
            if type(report).__name__ == "PassTime":
                frames.append(report.frame)
            heard(self, report)

        monkeypatch.setattr(type(screen), "_heard", watch)
        watch_drawing(screen, monkeypatch, lights)
        await pilot.press("space")
        await holds(pilot, lambda: bool(frames))
        await holds(pilot, lambda: screen.sound.ended, 90)
        sent = screen.sound.sent[max(screen.sound.sent)]
        expected = expected_pass(screen.session.piece, sent.route, screen.session.me.number, sent.pulse)
        clock = json.loads((tmp_path / "clock.json").read_text())
        begun = clock["begun"] + frames[0] / 48_000 + sent.starts + DELAY
        strokes.update({(stroke.bar, stroke.at): begun + stroke.seconds for stroke in expected.strokes})
        print(f"\n  blocks of {1000 * clock['block'] / 48_000:.0f} ms")

    try:
        use(InbreathApp(score, History(tmp_path / "h.sqlite"), Settings(), player), steps)
    finally:
        player.close()
    late = sorted(1000 * (lights[place] - moment) for place, moment in strokes.items() if place in lights)
    shares = np.percentile(late, [5, 50, 95, 100])
    print(f"  {len(late)} of {len(strokes)} lit; after {', '.join(f'{ms:.1f}' for ms in shares)} ms (5, 50, 95, 100 %)")
    assert len(late) >= 0.9 * len(strokes)
    assert shares[2] <= 30


async def opened(pilot: Pilot[int]) -> Any:
    """The practice screen, the player heard with headphones, nobody else sounding."""
    await practise(pilot, 2)
    screen: Any = pilot.app.screen
    await holds(pilot, lambda: screen.sound._is_ready)
    await pilot.press("left_square_bracket", *["right"] * 4, "right_square_bracket")
    for key in ("1", "3", "4", "o", "o"):
        await pilot.press(key)
    screen._set(replace(screen.setting, click="none", count_in=0))
    screen._choose_ear(EarChoice(EarKind.HEADPHONES))
    await holds(pilot, lambda: screen.sound._is_ready)
    time.sleep(0.5)
    return screen


def watch_drawing(screen: Any, monkeypatch: pytest.MonkeyPatch, lights: dict[tuple[int, Fraction], float]) -> None:
    """Note when the sign of each stroke is drawn for the first time."""
    render, light = CellsView.render_lines, type(screen)._light_strokes
    waiting: list[tuple[int, Fraction]] = []

    def lit(self: Any, strokes: Any) -> None:
        waiting.extend(stroke.place for stroke in strokes)
        light(self, strokes)

    def timed(self: Any, crop: Any) -> Any:
        lines = render(self, crop)
        if (self.id or "").startswith("when-"):
            now = time.perf_counter()
            for place in waiting:
                lights.setdefault(place, now)
            waiting.clear()
        return lines

    monkeypatch.setattr(CellsView, "render_lines", timed)
    monkeypatch.setattr(type(screen), "_light_strokes", lit)

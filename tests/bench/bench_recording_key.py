"""From the key that plays along to the first sound: by hand, ``pytest tests/bench/bench_recording_key.py -s``.

Processor seconds, since the clock tells what else the machine does: in the application from the key to the timeline
handed over, and, in a new process as the sound process is, the sounds of the first four seconds. The chunk lasts
half a minute, a minute at half its tempo; the recording is noise whose bars the store knows already.
"""

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile
from textual.pilot import Pilot

from score.playback.sound_events import RECORDED, Strike, Timeline
from score.reading import read_score
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording
from score.recording.recording_store import recording_key
from score.takes.history import History
from tests.recording.performances import perform
from tests.tui.conftest import FakePlayer
from tests.tui.stand_steps import open_as, until, use
from tests.tui.test_practice import ready
from tui.app import InbreathApp
from tui.kept_recordings import recording_store
from tui.recorded_practice import keep_paths, load_early
from tui.settings import Settings

QUARTET = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
RATE = 44_100
MOST_SECONDS = 0.6
_FIRST = 4.0
_COLD = """
import sys, time
from score.playback.recorded_cuts import cut_sound
clock = time.process_time()
for line in sys.stdin:
    cut_sound(line.strip(), 48_000)
print(time.process_time() - clock)
"""


def _recording(folder: Path) -> Path:
    """A recording that was listened to."""
    piece = read_score(QUARTET).piece
    played, path = perform(piece, 130), folder / "take.flac"
    noise = np.random.default_rng(0).normal(0, 0.1, int(played.seconds * RATE))
    soundfile.write(path, noise, RATE)
    bars = tuple(HeardBar(bar.bar, 1, bar.start, end=bar.end, sure=1.0, doubt="", run=0) for bar in played.bars)
    onsets = tuple(HeardOnset(each.bar, 1, each.at, seconds=each.seconds) for each in played.moments)
    recording_store().keep(recording_key(piece, path), HeardRecording(played.seconds, 0.0, bars, onsets=onsets))
    return path


@pytest.mark.parametrize("slower", [0, 10])
def test_from_the_key_to_the_first_sound(slower: int, tmp_path: Path) -> None:
    path, player = _recording(tmp_path), FakePlayer()
    app = InbreathApp(QUARTET, History(tmp_path / "history.sqlite"), Settings(), player)  # type: ignore[arg-type]
    cost: list[float] = []

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        keep_paths(app.screen.session, [str(path)])  # type: ignore[attr-defined]
        load_early()
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await ready(pilot)
        await pilot.press(*["minus"] * slower)
        await pilot.pause(1.0)
        for _ in ("first time", "again"):
            clock, told = time.process_time(), len(player.told)
            await pilot.press("P")
            while not any(_recorded(timeline) for _, timeline in player.told[told:]):
                await pilot.pause(0.01)
            cost.append(time.process_time() - clock)
            await pilot.press("P")
            await pilot.pause(1.0)

    use(app, steps)
    timeline = next(timeline for _, timeline in player.told if _recorded(timeline))
    assert isinstance(timeline, Timeline)
    sounds = _first_sounds(timeline)
    lasts = timeline.strikes[-1].seconds - timeline.starts
    print(f"{lasts:.0f} s: {cost[0]:.2f} s, again {cost[1]:.2f} s; first sounds {sounds:.2f} s, of the processor")
    assert cost[0] + sounds <= MOST_SECONDS


def _recorded(told: object) -> list[Strike]:
    """The strikes of a recording in what the sound process was told."""
    return [strike for strike in told.strikes if strike.voice == RECORDED] if isinstance(told, Timeline) else []


def _first_sounds(timeline: Timeline) -> float:
    """Processor seconds in a new process for what must be there before it may sound."""
    until_second = timeline.strikes[0].seconds + _FIRST
    cuts = [strike.variant for strike in _recorded(timeline) if strike.seconds < until_second]
    asked = subprocess.run(
        [sys.executable, "-c", _COLD], input="\n".join(cuts), check=True, capture_output=True, text=True
    )
    return float(asked.stdout)

"""A recording on the practice screen: asked for, heard from what was kept, played in its own time, left again."""

import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from textual.pilot import Pilot

from score.playback.sound_events import RECORDED, Timeline
from score.reading import read_score
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording
from score.recording.recording_store import recording_key
from tests.recording.performances import Performance, perform
from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tests.tui.test_practice import ready
from tui.kept_recordings import recording_store

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"


def _kept_take(folder: Path, name: str, seed: int, bars: int = 99, doubt: str = "") -> tuple[Path, Performance]:
    """A take whose bars are known to the store already; what sounds in it does not matter here."""
    piece = read_score(STUDY).piece
    played = perform(piece, seed)
    path = folder / name
    soundfile.write(path, np.random.default_rng(seed).normal(0, 0.1, int(played.seconds * 8000)), 8000)
    sure = 0.2 if doubt else 1.0
    heard_bars = [
        HeardBar(bar.bar, 1, bar.start, end=bar.end, sure=sure, doubt=doubt, run=0) for bar in played.bars[:bars]
    ]
    onsets = [HeardOnset(moment.bar, 1, moment.at, seconds=moment.seconds) for moment in played.moments]
    heard = HeardRecording(played.seconds, 0.0, tuple(heard_bars), onsets=tuple(onsets))
    recording_store().keep(recording_key(piece, path), heard)
    return path, played


def _timelines(fake: Any, name: str) -> list[Timeline]:
    return [values[0] for told, *values in fake.told if told == name]


def _is_recorded(timeline: Timeline) -> bool:
    return any(strike.voice == RECORDED for strike in timeline.strikes)


def _prepared() -> set[Path]:
    """Stretches of recordings that are ready to be played from."""
    return set(recording_store().folder.glob("*.npy"))


def _goes_as(timeline: Timeline, played: Performance) -> bool:
    """Whether the bars of a timeline are as long as they were played, but for the hundredths of smoothed beats."""
    bars = np.diff([bar.seconds for bar in timeline.bars])
    return bool(np.allclose(bars, np.diff([bar.start for bar in played.bars[: len(bars) + 1]]), rtol=0.02))


async def first_chunk(pilot: Pilot[int]) -> Any:
    """From the overview to the chunk that is chosen there."""
    await pilot.press("enter")
    await until(pilot, "PracticeScreen")
    await ready(pilot)
    return pilot.app.screen


async def name_recording(pilot: Pilot[int], key: str, path: Path | str) -> None:
    """A key that asks for a recording, and its answer."""
    await pilot.press(key)
    await until(pilot, "AskLine")
    await pilot.press(*str(path), "enter")
    await until(pilot, "PracticeScreen")


@pytest.mark.campaign
def test_what_a_recording_cannot_give_the_machine_plays(stand, tmp_path: Path, fake_player) -> None:
    """The last bars were never played: the chunk that holds them falls to the machine; and a try bends its time."""
    score = Path(shutil.copy(STUDY, tmp_path / "study.musicxml"))
    take, _ = _kept_take(tmp_path, "half.wav", 9, bars=12, doubt="faint")

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        screen = await first_chunk(pilot)
        await name_recording(pilot, "P", take)
        await holds(pilot, lambda: _is_recorded(_timelines(fake_player, "load")[-1]))
        await holds(pilot, lambda: screen.doubts == frozenset(screen.facts.bars))
        assert "?" in text_of(pilot.app)
        await pilot.press(*["minus"] * 14)
        await holds(pilot, lambda: screen.setting.tempo == 0.4)
        await pilot.press("F")
        await holds(pilot, lambda: "follows nobody" in text_of(pilot.app))
        await pilot.press("h", "1")
        await holds(pilot, lambda: not screen.setting.recording and screen.setting.trial is not None)
        await pilot.press("escape", "P")
        await holds(pilot, lambda: bool(screen.setting.recording))
        await pilot.press("n")
        await holds(pilot, lambda: not screen.setting.recording)
        await holds(pilot, lambda: not _is_recorded(_timelines(fake_player, "load")[-1]))

    use(stand(score, player=fake_player), steps)


@pytest.mark.campaign
def test_one_key_plays_along_and_another_jumps_to_the_second_recording(stand, tmp_path: Path, fake_player) -> None:
    score = Path(shutil.copy(STUDY, tmp_path / "study.musicxml"))
    first, played = _kept_take(tmp_path, "today.wav", 7)
    second, _ = _kept_take(tmp_path, "last-week.wav", 8)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        screen = await first_chunk(pilot)
        assert not _is_recorded(_timelines(fake_player, "load")[-1])
        await pilot.press("B")
        await holds(pilot, lambda: "Press P first" in text_of(pilot.app))
        await name_recording(pilot, "P", first)
        await holds(pilot, lambda: _is_recorded(_timelines(fake_player, "load")[-1]))
        along = _timelines(fake_player, "load")[-1]
        bars = [bar.seconds - along.starts for bar in along.bars]
        truth = [bar.start - played.bars[0].start for bar in played.bars[: len(bars)]]
        assert np.allclose(bars, truth, atol=0.01)
        await pilot.press("2")
        await holds(pilot, lambda: {strike.player for strike in _timelines(fake_player, "load")[-1].strikes} >= {2, -1})
        # A file that is dropped on a terminal comes in quotes.
        await name_recording(pilot, "B", f"'{second}'")
        await holds(pilot, lambda: screen.setting.recording == str(second.resolve()))
        await pilot.press("B")
        await holds(pilot, lambda: screen.setting.recording == str(first.resolve()))
        await pilot.press("P")
        await holds(pilot, lambda: not _is_recorded(_timelines(fake_player, "load")[-1]))
        # The machine's players in the recording's time, which takes no sound of it.
        await pilot.press("M")
        await holds(pilot, lambda: screen.setting.time_of == str(first.resolve()))
        await holds(pilot, lambda: _goes_as(_timelines(fake_player, "load")[-1], played))
        assert not _is_recorded(_timelines(fake_player, "load")[-1])
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        # Both are known the next time: nothing is asked.
        await first_chunk(pilot)
        await pilot.press("P")
        await holds(pilot, lambda: _is_recorded(_timelines(fake_player, "load")[-1]))
        # The next bars are made ready before anybody asks for the recording.
        await pilot.press("P")
        await holds(pilot, lambda: not _is_recorded(_timelines(fake_player, "load")[-1]))
        before = _prepared()
        await pilot.press("n")
        await holds(pilot, lambda: len(_prepared()) == len(before) + 1)
        assert not _is_recorded(_timelines(fake_player, "load")[-1])

    use(stand(score, player=fake_player), steps)

"""Lost by heart: a pass says where, a key goes there, the overview brings it back the next day."""

import time
from collections.abc import Collection
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.memory.fade import FadeStep
from score.playback.sounding.sound_messages import PassEnded, Stopped
from score.takes.history import History
from score.takes.kept_takes import KeptTakes
from score.takes.readiness import Readiness
from tests.tui.stand_steps import holds, until, use
from tests.tui.test_hearing import begin, heard_by, strike, written
from tests.tui.test_practice import practise, ready, says
from tui import clock
from tui.drawing.chunk_rows import LostToday, today_line
from tui.drawing.palette import DARK

pytestmark = pytest.mark.campaign


async def play_through(pilot: Pilot[int], fake: Any, lost: Collection[int] = ()) -> None:
    """A pass of what is loaded, tapped on its moments; nothing is struck in some bars."""
    moment = time.perf_counter() - 200.0
    await begin(pilot, fake, moment)
    strike(pilot, written(pilot, fake, moment, lost))
    fake.coming = [PassEnded(1), Stopped()]


async def hidden(pilot: Pilot[int]) -> Any:
    """Player 2's chunk B by heart, heard by tapped keys."""
    await practise(pilot, 2)
    await heard_by(pilot, 2)
    await pilot.press("g", "g")
    return pilot.app.screen


def test_a_pass_by_heart_says_what_was_lost_and_a_key_goes_there(
    stand, score: Path, fake_player, tmp_path: Path
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        screen = await hidden(pilot)
        await pilot.press("N")
        await says(pilot, "No place is lost")
        await play_through(pilot, fake_player, lost={21, 22})
        await says(pilot, "By heart, lost 22-23: N goes there")
        assert [passage.bars for passage in screen.waiting] == [range(21, 23)]
        await pilot.press("N")
        await says(pilot, "By heart: bars 22-23, come in at")
        await ready(pilot)
        await says(pilot, "own loop", "░")
        loop = screen.setting.own_loop
        assert loop is not None
        assert 17 <= loop[0] < 21
        assert loop[1] == 23
        assert screen.step is FadeStep.MARKS
        assert screen.cursor_bar == loop[0]
        await play_through(pilot, fake_player)
        await says(pilot, "By heart, nothing lost")
        assert screen.waiting == ()
        # What comes back tomorrow was known again today: both are kept.
        history = screen.session.history
        assert [[right for _, right in each] for each in history.answers(2).values()] == [[False, True]] * 2

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    takes = KeptTakes(history).of(history.pieces()[0].digest, 2)
    assert [take.what.in_sight for take in takes] == [False, False]


def test_a_chunk_known_by_heart_is_proposed_as_such(stand, score: Path, fake_player, tmp_path: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await hidden(pilot)
        await play_through(pilot, fake_player)
        await says(pilot, "By heart, nothing lost", "A: by heart at 100 %")
        await pilot.press("A")
        await says(pilot, "B: by heart at 100 % saved")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    standing = history.standing(history.pieces()[0].digest, 2, range(16, 40))
    assert standing is not None
    assert standing.readiness is Readiness.BY_HEART


def test_a_loop_may_begin_before_the_chunk_and_leaves_it_as_it_was(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        screen = await hidden(pilot)
        chunk = screen.facts.bars
        await play_through(pilot, fake_player, lost={16, 17})
        await says(pilot, "lost 17-18")
        await pilot.press("N")
        await says(pilot, "By heart: bars 17-18, come in at")
        await ready(pilot)
        assert screen.setting.own_loop[0] == screen.facts.bars[0] < chunk[0]
        assert screen.facts.bars[-1] == chunk[-1]
        await pilot.press("l")
        await holds(pilot, lambda: screen.facts.bars == chunk and screen.cursor_bar == chunk[0])
        assert screen.setting.own_loop is None

    use(stand(score, player=fake_player), steps)


def test_undo_forgets_the_pass_and_what_it_lost(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        screen = await hidden(pilot)
        await play_through(pilot, fake_player, lost={21, 22})
        await says(pilot, "lost 22-23")
        assert screen.session.history.answers(2)
        await pilot.press("ctrl+z")
        await says(pilot, "Last pass forgotten")
        assert screen.session.history.answers(2) == {}
        await holds(pilot, lambda: screen.waiting == ())

    use(stand(score, player=fake_player), steps)


def test_a_pass_with_the_part_in_sight_or_with_a_glance_loses_nothing_by_heart(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        screen = await hidden(pilot)
        await pilot.press("G")
        await play_through(pilot, fake_player, lost={21, 22})
        await says(pilot, "Lost 22-23. ")  # it is said all the same
        await pilot.press("g", "w")
        await play_through(pilot, fake_player, lost={21, 22})
        await holds(pilot, lambda: len(screen.takes) == 2)
        assert screen.session.history.answers(2) == {}
        assert screen.waiting == ()

    use(stand(score, player=fake_player), steps)


@pytest.mark.parametrize("size", [(80, 24), (140, 50)])
def test_the_next_day_it_comes_first(
    stand, score: Path, fake_player, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await hidden(pilot)
        await play_through(pilot, fake_player, lost={21, 22})
        await says(pilot, "lost 22-23")
        monkeypatch.setattr(clock, "source", lambda: datetime.now() + timedelta(days=1))
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await says(pilot, "lost 22-23 (2 min)", "g begins there")
        await pilot.press("y")
        await until(pilot, "QuestionsScreen")
        await says(pilot, "Lost by heart: bars 22-23 come first")
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await pilot.press("g")
        await until(pilot, "PracticeScreen")
        await ready(pilot)
        screen: Any = pilot.app.screen
        await says(pilot, "own loop", "░")
        await holds(pilot, lambda: [passage.bars for passage in screen.waiting] == [range(21, 23)])
        assert screen.setting.own_loop[1] == 23
        await says(pilot, "By heart: bars 22-23", "last pass" if size[1] > 40 else "when")
        assert screen.fade_words().startswith("░ by heart 3 of 4")
        today = screen.session.today
        await pilot.press("n")  # from there to today's chunks
        await holds(pilot, lambda: screen.setting.chunk == today[0] and screen.setting.own_loop is None)

    use(stand(score, player=fake_player), steps, size)


def test_the_line_of_today_says_what_was_lost_first() -> None:
    slots, lost = [("B", 8, False), ("C", 3, True)], LostToday("22-23, 31", 4)
    assert today_line(slots, "#ffffff", DARK, 6, lost).plain == (
        "today 12 min: lost 22-23, 31 (4 min)  g begins there, y asks 6 min   B 8"
    )
    assert today_line([], "#ffffff", DARK, 0, lost).plain == "today 4 min: lost 22-23, 31 (4 min)  g begins there"

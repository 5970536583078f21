"""Copies that two players changed: side by side in words, settled by a key, nothing lost, undone letter for letter."""

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.drawing.palette import DARK
from tui.drawing.side_by_side import conflict_list
from tui.screens.gather_screen import GatherScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], GatherScreen], Awaitable[None]]
SHAPE = '[[shape]]\nid = "s000001"\nbars = "57-64"\nkind = "back"\npercent = 8\nby = 2\nstate = "tried"\n'


def on_differences(app: InbreathApp, steps: Steps) -> None:
    async def to_differences(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("d")
        await until(pilot, "GatherScreen")
        screen = app.screen
        assert isinstance(screen, GatherScreen)
        await steps(pilot, screen)

    use(app, to_differences)


def test_two_copies_are_joined_and_settled_side_by_side(stand, score: Path, tmp_path: Path) -> None:
    group, copy, app = score.with_name("quartet.group.toml"), tmp_path / "from-3.toml", stand(score)
    group.write_text(SHAPE)
    copy.write_text(
        SHAPE.replace("percent = 8", "percent = 4").replace('"back"', '"forward"').replace("by = 2", "by = 3")
    )

    async def steps(pilot: Pilot[int], screen: GatherScreen) -> None:
        await holds(pilot, lambda: "nothing to settle" in text_of(app))
        screen._add(str(copy))
        await holds(pilot, lambda: "1 to settle" in text_of(app) and "bars 57-64: " in text_of(app))
        shown = text_of(app)
        assert "bars 57-64: " in shown
        assert "2 holds back 8 %" in shown
        assert "3 leans forward 4 %" in shown
        joined = group.read_bytes()
        await pilot.press("escape")
        await holds(pilot, lambda: "1 difference between your copies: d shows them" in text_of(app))
        await pilot.press("d")
        await holds(pilot, lambda: "1 to settle" in text_of(app))
        again = app.screen
        assert isinstance(again, GatherScreen)
        screen = again
        words = [side.words for side in screen.gathered.open[0].sides]
        await pilot.press("right", "enter")
        await holds(pilot, lambda: "nothing to settle" in text_of(app))
        text = group.read_text()
        chosen, other = ("percent = 4", "percent = 8") if "4 %" in words[1] else ("percent = 8", "percent = 4")
        assert chosen in text
        assert other not in text.split("[gathered]")[0]
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "1 to settle" in text_of(app))
        assert group.read_bytes() == joined
        assert copy.read_text().count("percent = 4") == 1

    on_differences(app, steps)


def test_without_a_file_there_is_nothing_to_settle(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: GatherScreen) -> None:
        await holds(pilot, lambda: "nothing to settle" in text_of(app))
        await pilot.press("enter", "b", "right", "down")
        screen._add("/no/such/copy.toml")
        await until(pilot, "ErrorBox")

    on_differences(app, steps)


def test_an_empty_list_is_an_empty_list() -> None:
    assert conflict_list((), 0, 80, DARK) == []

"""Cues: what was left out stays in the list, space gives the file its bytes back, nothing is claimed falsely."""

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from score.group.group_file import read_group
from tests.longer import longer
from tests.tui.stand_steps import holds, open_as, text_of, use
from tui.app import InbreathApp
from tui.cue_facts import CueState
from tui.screens.cues_screen import CuesScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], CuesScreen], Awaitable[None]]
GROUP = '# ours\n\n[[cue]]\n# so it was agreed\nplayer = 2\nbars = "57-58"\nshow = 4\n'


def on_cues(app: InbreathApp, steps: Steps) -> None:
    async def to_cues(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("c")
        await holds(pilot, lambda: isinstance(app.screen, CuesScreen) and bool(app.screen.cues))
        screen = app.screen
        assert isinstance(screen, CuesScreen)
        await steps(pilot, screen)

    use(app, to_cues)


def test_leaving_out_takes_three_keys_and_space_gives_the_bytes_back(stand, score: Path) -> None:
    group = score.with_name("quartet.group.toml")
    group.write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: CuesScreen) -> None:
        assert " * 57" in text_of(app)
        # From the overview: c, one step down, space.
        await pilot.press("down", "space")
        await holds(pilot, lambda: len(read_group(group).cues) == 2)
        await holds(pilot, lambda: "▶- 13-14" in text_of(app))
        assert "left out: moves while you roll" in text_of(app)
        assert "1 left out" in text_of(app)
        await pilot.press("space")
        await holds(pilot, lambda: "▶+ 13-14" in text_of(app))
        assert group.read_text() == GROUP

    on_cues(app, steps)


def test_a_cue_left_out_long_ago_comes_back_too(stand, score: Path) -> None:
    group = score.with_name("quartet.group.toml")
    group.write_text(GROUP.replace("show = 4", 'show = 4\n\n[[cue]]\nplayer = 2\nbars = "13-14"\nhide = 3'))
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: CuesScreen) -> None:
        left_out = next(row for row, cue in enumerate(screen.cues) if cue.state is CueState.LEFT_OUT)
        await pilot.press(*["down"] * left_out)
        await holds(pilot, lambda: "▶- 13-14" in text_of(app))
        await pilot.press("space")
        await holds(pilot, lambda: "▶+ 13-14" in text_of(app))
        (wish,) = read_group(group).cues
        assert (wish.bars, wish.show) == ("57-58", 4)

    on_cues(app, steps)


def test_two_keys_show_another_player(stand, score: Path) -> None:
    group = score.with_name("quartet.group.toml")
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: CuesScreen) -> None:
        await pilot.press("down", "4")
        await holds(pilot, lambda: "▶* 13" in text_of(app))
        assert [(wish.player, wish.bars, wish.show) for wish in read_group(group).cues] == [(2, "13-14", 4)]
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: not group.exists())

    on_cues(app, steps)


@pytest.mark.parametrize("text", ["30-31 0", longer("30-31 2"), longer("999 3"), "57"])
def test_a_wish_that_cannot_hold_leaves_the_one_before_and_says_so(stand, score: Path, text: str) -> None:
    group = score.with_name("quartet.group.toml")
    group.write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: CuesScreen) -> None:
        await pilot.press("a")
        await holds(pilot, lambda: type(app.screen).__name__ == "AskLine")
        await pilot.press(*(letter if letter != " " else "space" for letter in text), "enter")
        await holds(pilot, lambda: type(app.screen).__name__ == "ErrorBox" or "Write bars" in text_of(app))
        assert group.read_text() == GROUP
        if type(app.screen).__name__ == "ErrorBox":
            await pilot.press("x")
            await holds(pilot, lambda: app.screen is screen)
        assert "Written" not in text_of(app)
        assert screen.undos == []

    on_cues(app, steps)

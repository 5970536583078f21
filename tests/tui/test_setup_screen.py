"""The set-up: one's own findings first, Enter to the bar, nothing said twice, everything else further down."""

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from score.setup.finding import Weight
from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.screens.setup_screen import SetupScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], SetupScreen], Awaitable[None]]


def on_setup(app: InbreathApp, steps: Steps) -> None:
    async def to_setup(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("s")
        await until(pilot, "SetupScreen")
        screen = app.screen
        assert isinstance(screen, SetupScreen)
        await holds(pilot, lambda: bool(screen.findings))
        await steps(pilot, screen)

    use(app, to_setup)


def words(app: InbreathApp) -> str:
    return " ".join(text_of(app).split())


def test_ones_own_come_first_and_enter_goes_to_the_bar(stand, score: Path, fake_player) -> None:
    app = stand(score, player=fake_player)

    async def steps(pilot: Pilot[int], screen: SetupScreen) -> None:
        owners = [finding.player for finding in screen.findings]
        mine = owners.count(2)
        assert owners[:mine] == [2] * mine
        assert mine > 1
        weights = [list(Weight).index(finding.weight) for finding in screen.findings[:mine]]
        assert weights == sorted(weights)
        assert f"{len(owners)} findings, {mine} of yours" in text_of(app)
        await pilot.press("down")
        bar = screen.findings[1].bar
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        assert app.session.bar == bar
        await pilot.press("escape")
        await until(pilot, "SetupScreen")

    on_setup(app, steps)


def test_every_finding_and_all_the_rest_can_be_reached(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: SetupScreen) -> None:
        for _ in screen.findings[1:]:
            await pilot.press("down")
            assert "▶" in text_of(app)
        seen = ""
        for _ in range(12):
            await pilot.press("pagedown")
            seen += text_of(app)
        assert all(part in seen for part in ("To carry", "Where to strike", "from left to right"))
        assert "No problems" not in seen

    on_setup(app, steps)


def test_the_check_follows_the_file_and_is_written(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)

    async def steps(pilot: Pilot[int], screen: SetupScreen) -> None:
        assert not any("both strike" in finding.text for finding in screen.findings)
        group.write_text('[[share]]\ninstrument = "marimba"\nplayers = [1, 2]\n')
        await pilot.press("r")
        await holds(pilot, lambda: any("both strike A4" in finding.text for finding in screen.findings))
        await pilot.press("h")
        await holds(pilot, lambda: "Suggested stickings, Player 2" in words(app))
        await pilot.press("h")
        await holds(pilot, lambda: "of yours" in words(app) and not screen.stickings)
        group.write_text("[limits]\nhand_mm_a_second = 0\n")
        await pilot.press("r")
        await holds(pilot, lambda: "hand_mm_a_second = 0 is not a figure" in words(app))
        group.unlink()
        if type(app.screen).__name__ == "ErrorBox":
            await pilot.press("x")
        await pilot.press("r")
        await holds(pilot, lambda: bool(screen.findings))
        await pilot.press("ctrl+s")
        await holds(pilot, (score.parent / "quartet-inbreath" / "quartet-gear.md").exists)

    on_setup(app, steps)

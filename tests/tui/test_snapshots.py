"""Every screen letter for letter, at two sizes. Renew with INBREATH_RENEW=1 and read the difference.

Letters carry everything, so the same pictures hold without colour; a test below takes the colours away.
"""

import asyncio
import os
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from tui.app import InbreathApp
from tui.screens.rehearsal_screen import RehearsalScreen
from tui.session import reread
from tui.settings import Settings

FOLDER = Path(__file__).parent / "snapshots"
SIZES = [(80, 24), (160, 48)]


async def arrive(pilot: Pilot[int], screen: str) -> None:
    for _ in range(300):
        await pilot.pause(0.05)
        if type(pilot.app.screen).__name__ == screen:
            await pilot.pause(0.1)
            return
    raise AssertionError(f"{screen} never came")


def letters(app: InbreathApp) -> str:
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips) + "\n"


async def settled(pilot: Pilot[int]) -> str:
    """The picture once its foot is there and it stays as it is: a foot is composed after its screen."""
    app = pilot.app
    assert isinstance(app, InbreathApp)
    before = ""
    for _ in range(100):
        now = letters(app)
        if now == before and "keys" in now:
            return now
        before = now
        await pilot.pause(0.1)
    return before


async def pictures(pilot: Pilot[int]) -> dict[str, str]:
    app = pilot.app
    assert isinstance(app, InbreathApp)
    found = {}
    await arrive(pilot, "AskOne")
    found["who"] = await settled(pilot)
    await pilot.press("down", "enter")
    await arrive(pilot, "StandScreen")
    found["stand"] = await settled(pilot)
    await pilot.press("slash", "B", "enter", "enter")
    await arrive(pilot, "PracticeScreen")
    found["practice"] = await settled(pilot)
    await pilot.press("f1")
    await arrive(pilot, "HelpScreen")
    found["help"] = await settled(pilot)
    await pilot.press("escape")
    await arrive(pilot, "PracticeScreen")
    await pilot.press("escape")
    for key, name in (("c", "cues"), ("p", "plan"), ("f", "files"), ("s", "setup"), ("t", "tubes")):
        await arrive(pilot, "StandScreen")
        await pilot.press(key)
        await arrive(pilot, f"{name.capitalize()}Screen")
        if name == "files":
            app.screen.query_one("#where", Static).update("into FOLDER")
            await pilot.pause(0.1)
        found[name] = await settled(pilot)
        await pilot.press("escape")
    await arrive(pilot, "StandScreen")
    found["rehearsal"] = await rehearsal(pilot, app)
    await arrive(pilot, "StandScreen")
    await pilot.press("o")
    await arrive(pilot, "PiecesScreen")
    # Where the score lies is the test's own affair: the list is shown empty.
    await pilot.press("delete")
    await pilot.pause(0.2)
    await pilot.pause(0.3)
    found["pieces"] = await settled(pilot)
    return found


async def rehearsal(pilot: Pilot[int], app: InbreathApp) -> str:
    """The rehearsal of a group whose file gives one, with the clock standing still."""
    assert app.session is not None
    app.session.path.with_name("quartet.group.toml").write_text(
        "concert = 2099-03-14\n[[rehearsal]]\nat = 2099-03-02T19:00:00\nminutes = 90\n"
    )
    reread(app.session)
    await pilot.press("r")
    await arrive(pilot, "RehearsalScreen")
    screen = app.screen
    assert isinstance(screen, RehearsalScreen)
    await pilot.pause(0.8)
    picture = await settled(pilot)
    await pilot.press("escape")
    return picture


def taken(app: InbreathApp, size: tuple[int, int]) -> dict[str, str]:
    async def run() -> dict[str, str]:
        async with app.run_test(size=size) as pilot:
            return await pictures(pilot)

    return asyncio.run(run())


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_screens_are_letter_for_letter_as_they_were(stand, score: Path, fake_player, size: tuple[int, int]) -> None:
    found = taken(stand(score, Settings(), fake_player), size)
    for name, picture in found.items():
        path = FOLDER / f"{name}-{size[0]}x{size[1]}.txt"
        if os.environ.get("INBREATH_RENEW"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(picture, encoding="utf-8")
        assert picture == path.read_text(encoding="utf-8"), name


def test_without_colour_the_letters_are_the_same(stand, score: Path, fake_player, monkeypatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    found = taken(stand(score, Settings(), fake_player), (80, 24))
    kept = (FOLDER / "practice-80x24.txt").read_text(encoding="utf-8")
    assert found["practice"] == kept
    for name in ("stand", "cues", "setup"):
        assert found[name] == (FOLDER / f"{name}-80x24.txt").read_text(encoding="utf-8"), name

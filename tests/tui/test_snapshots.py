"""Every screen letter for letter, at four sizes. Renew with INBREATH_RENEW=1 and read the difference.

Letters carry everything, so the same pictures hold without colour and on a light ground; a test below takes the colours
away. The day stands still: plans and dates are part of the pictures.
"""

import asyncio
import os
from datetime import datetime
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot
from textual.widgets import Static

from tests.tui.stand_steps import at_rest, holds, text_of, until
from tui.app import InbreathApp
from tui.drawing.letters import plain
from tui.screens.stand_screen import StandScreen
from tui.settings import Settings

FOLDER = Path(__file__).parent / "snapshots"
NOW = datetime(2026, 11, 27, 18, 30)
GROUP = """concert = 2026-12-13

[[rehearsal]]
at = 2026-12-05T19:00:00
minutes = 90
missing = [3]

[[shape]]
bars = "57-64"
kind = "back"
percent = 8
by = 2
state = "tried"

[[note]]
bar = "61"
text = "breathe with 1"
"""
READY = {
    "StandScreen": ("today 4", "fit"),
    "PracticeScreen": ("keys",),
    "CuesScreen": ("printed",),
    "PlanScreen": ("19:00", "no time for"),
    "SetupScreen": ("of yours",),
    "TubesScreen": ("636.6",),
    "RehearsalScreen": ("space starts",),
}
"""What a screen says once everything that is worked out beside it has come."""
ROWS = ("who", "stand", "practice", "help", "cues", "plan", "files", "setup", "tubes", "rehearsal", "pieces")


async def settled(pilot: Pilot[int], words: tuple[str, ...] = ()) -> str:
    """The picture once its foot is there, it says some words, and it stays as it is."""
    app = pilot.app
    assert isinstance(app, InbreathApp)
    wanted = (*READY.get(type(app.screen).__name__, ()), *words)
    before = ""
    for _ in range(600):
        await at_rest(pilot)
        now = "\n".join(line.rstrip() for line in text_of(app).splitlines()) + "\n"
        stand = app.screen
        is_ready = not isinstance(stand, StandScreen) or stand.is_checked
        if is_ready and now == before and "keys" in now and all(word in now for word in wanted):
            return now
        before = now
        await pilot.pause(0.1)
    raise AssertionError(f"{wanted} never came:\n{before}")


async def pictures(pilot: Pilot[int]) -> dict[str, str]:
    app = pilot.app
    assert isinstance(app, InbreathApp)
    shown = {}
    await until(pilot, "AskOne")
    behind = app.screen_stack[-2]
    assert isinstance(behind, StandScreen)
    # The remarks of the set-up come last of all that is worked out beside the overview.
    await holds(pilot, lambda: behind.is_checked)
    shown["who"] = await settled(pilot, ("today 4",))
    await pilot.press("2")
    await until(pilot, "StandScreen")
    shown["stand"] = await settled(pilot)
    await pilot.press("slash", "B", "enter", "enter")
    await until(pilot, "PracticeScreen")
    shown["practice"] = await settled(pilot)
    await pilot.press("f1")
    await until(pilot, "HelpScreen")
    shown["help"] = await settled(pilot)
    await pilot.press("escape")
    await until(pilot, "PracticeScreen")
    await pilot.press("escape")
    opened = (("c", "cues"), ("p", "plan"), ("f", "files"), ("s", "setup"), ("t", "tubes"), ("r", "rehearsal"))
    for key, name in opened:
        await until(pilot, "StandScreen")
        await settled(pilot)
        await pilot.press(key)
        await until(pilot, f"{name.capitalize()}Screen")
        if name == "files":
            app.screen.query_one("#where", Static).update("into FOLDER")
        shown[name] = await settled(pilot)
        await pilot.press("escape")
    await until(pilot, "StandScreen")
    await pilot.press("o")
    await until(pilot, "PiecesScreen")
    # Where the score lies is the test's own affair: the list is shown without it.
    await settled(pilot, ("opened before",))
    await pilot.press("delete")
    shown["pieces"] = await settled(pilot, ("is removed",))
    return shown


@pytest.fixture
def taken(stand, score: Path, fake_player, tmp_path: Path, monkeypatch):
    """Takes every picture of an application at a size."""
    monkeypatch.setattr("tui.clock.source", lambda: NOW)
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    score.with_name("quartet.group.toml").write_text(GROUP)

    def take(size: tuple[int, int], settings: Settings | None = None) -> dict[str, str]:
        app = stand(score, settings or Settings(), fake_player)

        async def run() -> dict[str, str]:
            async with app.run_test(size=size) as pilot:
                return await pictures(pilot)

        return asyncio.run(run())

    return take


def compared(shown: dict[str, str], size: tuple[int, int]) -> None:
    assert tuple(sorted(shown)) == tuple(sorted(ROWS))
    for name, picture in shown.items():
        path = FOLDER / f"{name}-{size[0]}x{size[1]}.txt"
        if os.environ.get("INBREATH_RENEW"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(picture, encoding="utf-8")
        assert picture == path.read_text(encoding="utf-8"), name


@pytest.mark.parametrize(
    "size",
    [
        (80, 24),
        pytest.param((120, 40), marks=pytest.mark.campaign),
        pytest.param((60, 20), marks=pytest.mark.campaign),
        pytest.param((160, 48), marks=pytest.mark.campaign),
    ],
    ids=lambda size: f"{size[0]}x{size[1]}",
)
def test_screens_are_letter_for_letter_as_they_were(taken, size: tuple[int, int]) -> None:
    compared(taken(size), size)


@pytest.mark.campaign
def test_without_colour_the_letters_are_the_same(taken, monkeypatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    compared(taken((80, 24)), (80, 24))


@pytest.mark.campaign
def test_on_a_light_ground_the_letters_are_the_same(taken) -> None:
    compared(taken((80, 24), Settings(light=True)), (80, 24))


@pytest.mark.campaign
def test_in_plain_letters_every_screen_says_the_same(taken) -> None:
    shown = taken((80, 24), Settings(letters="plain"))
    for name, picture in shown.items():
        drawn = (FOLDER / f"{name}-80x24.txt").read_text(encoding="utf-8")
        assert plain(picture) == plain(drawn), name


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda path: path.stem)
def test_every_sign_has_a_plain_letter_as_wide_as_itself(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    letters = plain(text)
    assert all(ord(letter) < 127 for letter in letters)
    # A sign without a plain letter would become a question mark.
    assert letters.count("?") == text.count("?")
    assert [cell_len(line) for line in letters.splitlines()] == [cell_len(line) for line in text.splitlines()]
    wide, _ = path.stem.rsplit("-", 1)[1].split("x")
    assert all(cell_len(line) <= int(wide) for line in text.splitlines())

"""The screen for tubes does what the command does: notes of the piece, options, leftovers, the tuning log."""

import asyncio
from pathlib import Path

import pytest
from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.widgets import Input, Static

from score.tubes.tuning_log_file import read_log
from tests.tui.stand_steps import holds, until

pytestmark = pytest.mark.campaign


async def says(pilot: Pilot[int], words: str) -> str:
    """Wait until the answer holds some words."""
    for _ in range(1200):
        text = " ".join(str(pilot.app.screen.query_one("#answer", Static).render()).split())
        if words in text:
            return text
        await pilot.pause(0.05)
    raise AssertionError(f"{words!r} is not in {text!r}")


async def type_in(pilot: Pilot[int], name: str, text: str) -> None:
    field = pilot.app.screen.query_one(f"#{name}", Input)
    field.focus()
    field.value = text
    await pilot.press("enter")


def on_tubes(app, steps) -> None:
    async def run() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "AskOne")
            await pilot.press("enter")
            await until(pilot, "StandScreen")
            await pilot.press("t")
            await until(pilot, "TubesScreen")
            await says(pilot, "C3 644.6 mm")
            await steps(pilot)

    asyncio.run(run())


def test_every_line_is_understood(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await type_in(pilot, "notes", "F3 Bb3 A4=442")
        text = await says(pilot, "Bb3 ")
        # Cautions stand before the results.
        assert text.index("tool maker's instructions") < text.index("A4 = 442 Hz") < text.index("Bb3 ")
        await type_in(pilot, "stock", "3 m; 2 m")
        await type_in(pilot, "leftover", "900 mm")
        await says(pilot, "leftover of 900.0 mm")
        await type_in(pilot, "more", "--open --hall 25C --units in")
        text = await says(pilot, "open at both ends")
        assert "25 °C" in text
        await type_in(pilot, "measured", "640 mm 254 Hz open; 320 mm 482 Hz open")
        await says(pilot, "2 measured tubes")

    on_tubes(stand(score), steps)


def shown(pilot: Pilot[int]) -> str:
    """The lines of the answer that are on the screen."""
    plan = pilot.app.screen.query_one("#plan", VerticalScroll)
    top, high = plan.scroll_offset.y, plan.scrollable_content_region.height
    text = str(pilot.app.screen.query_one("#answer", Static).render())
    return "\n".join(text.split("\n")[top : top + high])


async def enter_in(pilot: Pilot[int], name: str, text: str, words: str) -> None:
    """Type a line, wait until some words are on the screen."""
    await type_in(pilot, name, text)
    for _ in range(1200):
        await pilot.pause(0.05)
        if words in shown(pilot):
            return
    raise AssertionError(f"{words!r} is not in {shown(pilot)!r}")


def test_enter_goes_through_the_cautions_once_and_then_to_the_results(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        assert shown(pilot).startswith("Before you cut")
        assert "goes numb" not in " ".join(shown(pilot).split())
        # What has not been on the screen yet comes first, to the last line.
        await enter_in(pilot, "notes", "G3-C4 diatonic", "goes numb")
        assert "cut to" not in shown(pilot)
        await enter_in(pilot, "notes", "C3-C4 diatonic", "C4   ")
        assert shown(pilot).startswith("Tube ")
        await enter_in(pilot, "measured", "655 mm C3", "! 655 mm C3: +48 cents")
        assert shown(pilot).startswith("! 655 mm C3")
        # A refusal is all there is; once it is mended the results are back.
        await enter_in(pilot, "measured", "700 mm C3", "sounds near")
        await enter_in(pilot, "measured", "", "C3  ")
        # They stand before the results all the same, and come first when the screen is opened again.
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await pilot.press("t")
        await until(pilot, "TubesScreen")
        await says(pilot, "C3 644.6 mm")
        await holds(pilot, lambda: shown(pilot).startswith("Before you cut"))

    on_tubes(stand(score), steps)


def test_notes_of_a_player(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await type_in(pilot, "notes", "player 3")
        await says(pilot, "E4 250.8 mm")
        await type_in(pilot, "notes", "player 9")
        await says(pilot, "No such player")
        await type_in(pilot, "notes", "player 3 kazoo")
        await says(pilot, "no pitched note")

    on_tubes(stand(score), steps)


def test_mistakes_are_one_line(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        for name, text, said in (
            ("more", "--opne", "No such option"),
            ("more", "--help", "Options"),
            ("more", '--pipe "2', "Options"),
            ("measured", "-640 mm C3", "negative length"),
            ("stock", "300 mm", "Stock too short"),
            ("heard", "C3: C3-18c", "write the files first"),
        ):
            await type_in(pilot, name, text)
            await says(pilot, said)
            assert "\n" not in str(pilot.app.screen.query_one("#answer", Static).render()).strip()
            pilot.app.screen.query_one(f"#{name}", Input).value = ""

    on_tubes(stand(score), steps)


def test_the_log_is_kept_and_taken_back(stand, score: Path, tmp_path: Path) -> None:
    log = tmp_path / "quartet-inbreath" / "tuning-log.toml"

    async def steps(pilot: Pilot[int]) -> None:
        await pilot.press("ctrl+s")
        await holds(pilot, log.exists)
        await type_in(pilot, "heard", "C3: C3-18c 21C")
        await says(pilot, "mm it is too long")
        assert [heard.tube for heard in read_log(log).heard] == ["C3"]
        assert pilot.app.screen.query_one("#heard", Input).value == ""
        await type_in(pilot, "heard", "C3 C6")
        await says(pilot, "check the octave")
        assert len(read_log(log).heard) == 1
        assert "C3: C3-18c" in pilot.app.screen.undo_last()
        assert read_log(log).heard == ()
        assert pilot.app.screen.undo_last() == ""

    on_tubes(stand(score), steps)


def test_what_is_typed_first_takes_the_place_of_the_example(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await pilot.press("G", "3", "enter")
        assert pilot.app.screen.query_one("#notes", Input).value == "G3"

    on_tubes(stand(score), steps)

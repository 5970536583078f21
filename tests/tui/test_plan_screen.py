"""The plan as a row of days: three rehearsals in few keys, sorted by date, every change undone letter for letter."""

import shutil
import tomllib
from collections.abc import Awaitable, Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.longer import longer
from tests.tui.conftest import SAMPLES
from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.drawing.day_row import Day, day_row, item_boxes
from tui.drawing.palette import DARK
from tui.screens.plan_screen import PlanScreen

Steps = Callable[[Pilot[int], PlanScreen], Awaitable[None]]


def on_plan(app: InbreathApp, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def to_plan(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("p")
        await until(pilot, "PlanScreen")
        screen = app.screen
        assert isinstance(screen, PlanScreen)
        await steps(pilot, screen)

    use(app, to_plan, size)


def entries(group: Path) -> dict[str, object]:
    return tomllib.loads(group.read_text()) if group.exists() else {}


def test_three_rehearsals_with_one_missing_and_the_concert_in_thirty_keys(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)
    pressed = 0

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        nonlocal pressed

        async def press(*keys: str) -> None:
            nonlocal pressed
            pressed += len(keys)
            await pilot.press(*keys)

        async def add() -> None:
            count = len(screen.rehearsals)
            await press("a")
            await until(pilot, "AskLine")
            await press("enter")
            await holds(pilot, lambda: len(screen.rehearsals) == count + 1)

        await press(*["right"] * 8)
        await add()
        # The second is entered before the first in time: the list stays in order of dates.
        await press(*["left"] * 3)
        await add()
        await press("3")
        await holds(pilot, lambda: screen.rehearsals[0].rehearsal.missing == (3,))
        await press(*["right"] * 5)
        await add()
        await press("right", "right", "d")
        await holds(pilot, lambda: "concert" in entries(group))
        today = screen.today
        assert [(entry.rehearsal.start.date() - today).days for entry in screen.rehearsals] == [5, 8, 10]
        assert entries(group)["concert"] == today + timedelta(days=12)
        await holds(pilot, lambda: screen.schedule is not None)

    on_plan(app, steps)
    assert pressed <= 30


def test_a_change_in_place_keeps_the_entry_where_it_is_and_is_undone(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)
    day = date.today() + timedelta(days=3)
    text = (
        f"# us\nconcert = {day + timedelta(days=9)}\n\n# the first\n[[rehearsal]]\nat = {day}T19:00:00\nminutes = 90\n"
        f"\n# the second\n[[rehearsal]]\nat = {day + timedelta(days=4)}T19:00:00\nminutes = 60\n"
    )
    group.write_text(text)

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        await holds(pilot, lambda: "hard together" in text_of(app))
        assert "19:00, 90 minutes" in text_of(app)
        await pilot.press("1", "plus")
        await holds(pilot, lambda: "19:00, 105 minutes, without 1" in text_of(app))
        changed = group.read_text()
        assert changed.index("# the first") < changed.index("missing = [1]") < changed.index("# the second")
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "minutes = 90" in group.read_text())
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: group.read_text() == text)
        await pilot.press("tab")
        await holds(pilot, lambda: "19:00, 60 minutes" in text_of(app))
        await pilot.press("delete")
        await holds(pilot, lambda: len(screen.rehearsals) == 1)
        assert "# the second" not in group.read_text()

    on_plan(app, steps)


@pytest.mark.parametrize(
    "keys", ["25:99 90", longer("19:00"), longer("tomorrow 90"), longer("19:00 x"), longer("19:00 0")]
)
def test_what_is_no_time_changes_nothing(stand, score: Path, keys: str) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        screen._add(keys)
        await holds(pilot, lambda: "Write the time and the minutes" in text_of(app))
        assert screen.rehearsals == ()

    on_plan(app, steps)


@pytest.mark.campaign
@pytest.mark.parametrize(("typed", "said"), [("2 9", "no player 9"), ("2, two", "'two' is no player's number")])
def test_only_players_of_the_piece_can_be_missing(stand, score: Path, typed: str, said: str) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        screen._add("19:00 90")
        await holds(pilot, lambda: len(screen.rehearsals) == 1)
        await pilot.press("m")
        await until(pilot, "AskLine")
        await pilot.press(*typed, "enter")
        await until(pilot, "ErrorBox")
        assert said in text_of(app)
        assert screen.rehearsals[0].rehearsal.missing == ()

    on_plan(app, steps)


@pytest.mark.campaign
def test_a_day_far_off_is_not_gone_to(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        days = screen.days
        screen._date("9999-12-31")
        await holds(pilot, lambda: "more than five years away" in text_of(app))
        assert screen.days == days

    on_plan(app, steps)


@pytest.mark.parametrize(("ask", "typed"), [("_add", "19:00 5000"), longer("_minutes", "5000")])
def test_minutes_that_no_day_has_are_refused_and_leave_the_file_as_it_was(
    stand, tmp_path: Path, ask: str, typed: str
) -> None:
    trio = Path(shutil.copy(SAMPLES / "trio-ids.musicxml", tmp_path))
    group, app = trio.with_name("trio-ids.group.toml"), stand(trio)
    group.write_text("# ours\n[[practice]]\nplayer = 2\nminutes = 30\n")
    before = group.read_bytes()

    async def steps(pilot: Pilot[int], screen: PlanScreen) -> None:
        getattr(screen, ask)(typed)
        await until(pilot, "ErrorBox")
        await holds(pilot, lambda: "minutes = 5000 is not a figure" in text_of(app))
        assert group.read_bytes() == before
        await pilot.press("escape")
        await until(pilot, "PlanScreen")
        screen.action_minutes()
        await until(pilot, "AskLine")

    on_plan(app, steps)


def test_days_are_drawn_as_high_as_their_minutes() -> None:
    first = date(2026, 11, 27)
    days = [Day(first + timedelta(days=count), own) for count, own in enumerate((60, 30, 0))]
    days += [Day(first + timedelta(days=3), 0, 120, missing=(3,)), Day(first + timedelta(days=4), is_concert=True)]
    rows = day_row(days, 1, 2, 80, DARK).plain.split("\n")
    assert [row[1:7] for row in rows[2:5]] == ["██████"] * 3
    assert "█" not in rows[2][8:14]
    assert "120" in rows[2]
    assert "no3" in rows[4]
    assert "concer" in rows[3]


def test_boxes_are_as_wide_as_items_are_long() -> None:
    names, minutes = item_boxes([("A", 10), ("break", 10), ("B", 20)], 82, DARK).plain.split("\n")
    assert [names.index(name) for name in ("A", "break", "B")] == [1, 21, 41]
    assert minutes.split() == ["10", "10", "20"]

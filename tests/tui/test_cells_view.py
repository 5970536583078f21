"""What of a row is sent again: the parts that changed and no others, checked on a model of the terminal's cells."""

import asyncio
import random
import re
from io import StringIO

import pytest
from rich.console import Console
from rich.segment import Segment
from textual._compositor import ChopsUpdate, Compositor
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.screen import Screen

from tui.drawing.cells import Cell, Cells, segments
from tui.widgets.cells_view import CellsView
from tui.widgets.late_strip import LateStrip, merged

WIDTH = 60


def sent(row: str, parts: list[tuple[int, int]]) -> str:
    """What the screen library writes for the changed parts of a row that is a widget of its own."""
    strip = LateStrip([Segment(row)], WIDTH, merged(parts))
    (piece,) = strip.divide([WIDTH])
    regions = [Region(start, 0, end - start, 1) for start, end in parts]
    spans = list(Compositor._regions_to_spans(regions))
    console = Console(file=StringIO(), width=WIDTH, color_system=None)
    return ChopsUpdate([{0: piece}], spans, [[WIDTH]]).render_segments(console)


def after(before: str, written: str) -> str:
    """The row in the terminal after something was written to it: the cursor goes to a column or steps to the right."""
    cells, column = list(before), 0
    for step, home, letter in re.findall(r"\x1b\[(\d+)C|\x1b\[1;(\d+)H|(.)", written, re.DOTALL):
        if home:
            column = int(home) - 1
        elif step:
            column += int(step)
        elif letter != "\n":
            cells[column] = letter
            column += 1
    return "".join(cells)


def test_the_terminal_shows_the_new_row_whatever_parts_of_it_changed() -> None:
    chance = random.Random(7)
    for _ in range(500):
        before = "".join(chance.choice("abc") for _ in range(WIDTH))
        row, parts = list(before), []
        for _ in range(chance.randint(1, 4)):
            start = chance.randrange(WIDTH - 1)
            end = min(WIDTH, start + chance.randint(1, 12))
            row[start:end] = [chance.choice("xyz") for _ in range(start, end)]
            parts.append((start, end))
        written = sent("".join(row), parts)
        assert after(before, written) == "".join(row), parts


def test_a_part_in_the_middle_is_sent_without_what_stands_before_it() -> None:
    written = sent("a" * 30 + "b" + "a" * 29, [(30, 31)])
    assert re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", written) == "b"


class Shown(App[None]):
    """One row of cells."""

    def compose(self) -> ComposeResult:
        yield CellsView(id="row")


def cells(row: str) -> Cells:
    drawn = Cells(len(row), 1, "#ffffff", "#000000")
    drawn.put(0, 0, row)
    return drawn


def test_what_must_not_wait_is_sent_in_the_same_call_and_once(monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []

    def display(app: App[None], screen: object, update: object) -> None:
        if isinstance(update, ChopsUpdate):
            written.append(re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", update.render_segments(app.console)))

    async def steps() -> None:
        app = Shown()
        async with app.run_test(size=(WIDTH, 3)) as pilot:
            view = app.query_one(CellsView)
            view.show(cells("a" * WIDTH))
            await pilot.pause()
            monkeypatch.setattr(App, "_display", display)
            view.show(cells("a" * 30 + "b" + "a" * 29))
            assert written == []
            view.send()
            assert written == ["b"]
            await pilot.pause()
            app.screen._on_timer_update()  # the next picture comes
            assert written == ["b"]
            # While everything waits for a batch it waits too, and is not lost.
            with app.batch_update():
                view.show(cells("d" * WIDTH))
                view.send()
                assert written == ["b"]
            view.send()
            assert written == ["b", "d" * WIDTH]
            # Under another screen it waits with everything else.
            await app.push_screen(Screen())
            view.show(cells("c" * WIDTH))
            written.clear()
            view.send()
            assert written == []

    asyncio.run(steps())


def test_a_row_is_made_anew_where_its_cells_are_others_and_nowhere_else(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def counted(row: list[Cell]) -> list[Segment]:
        made.append("".join(cell.letter for cell in row))
        return segments(row)

    async def steps() -> None:
        app = Shown()
        async with app.run_test(size=(WIDTH, 12)) as pilot:
            view = app.query_one(CellsView)
            drawn = Cells(WIDTH, 10, "#ffffff", "#000000")
            view.show(drawn)
            await pilot.pause()
            monkeypatch.setattr("tui.widgets.cells_view.segments", counted)
            # In place, as those do who own their cells: it must be seen too.
            drawn.put(3, 5, "x")
            view.renew(Region(5, 3, 1, 1))
            view.send()
            assert made == [" " * 5 + "x" + " " * (WIDTH - 6)]
            after = [strip.text for strip in app.screen._compositor.render_strips()]
            assert len(made) == 1
            assert after[3].rstrip() == "     x"
            assert all(not line.strip() for row, line in enumerate(after) if row != 3)

    asyncio.run(steps())

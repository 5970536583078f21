"""Systems in cells: every cell of the picture in its place, the light behind one beat, whole cells under any cut."""

import asyncio
import re
from collections.abc import Awaitable, Callable, Sequence
from fractions import Fraction
from typing import cast

import pytest
from rich.color import Color
from rich.style import Style
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.strip import Strip
from textual.widgets import Static

from score.parts.picture_process import WAITING, Drawn, Part, PictureProcess
from score.parts.system_picture import Request, SystemPicture
from tui.drawing.palette import DARK
from tui.drawing.picture_cells import MARKS, PLACEHOLDER
from tui.drawing.time_grid import Grid
from tui.notation import Notation, ShownPicture
from tui.terminal_pictures import CellSize
from tui.widgets.notation_view import NotationView, PictureStrip

BEATS = [Fraction(beat) for beat in range(8)]
CELL = CellSize(9, 18)


class FakeProcess:
    """Draws at once: a system of 8 quarters, a quarter 15 cells wide after a head of 10, as high as its staff asks."""

    def __init__(self) -> None:
        self.asked: list[Request] = []
        self.waiting: list[Drawn] = []

    def take(self, part: Part) -> None:
        pass

    def draw(self, request: Request) -> None:
        self.asked.append(request)
        rows = round(request.staff / request.cell[1] * 4)
        places = tuple((Fraction(beat), (10.8 + 15 * beat) * request.cell[0]) for beat in range(9))
        png = f"{request.bars} {request.ink} {rows}".encode() * 100
        picture = SystemPicture(request.bars, png, request.columns, rows=rows, places=places, staff=(6, 8))
        self.waiting.append(Drawn(request, picture))

    def drawn(self) -> Sequence[Drawn]:
        answers, self.waiting = self.waiting, []
        return answers

    def close(self) -> None:
        pass


class Dialog(ModalScreen[None]):
    def compose(self) -> ComposeResult:
        yield Static("dialog")


class Holder(App[None]):
    """An application that holds two systems and nothing else."""

    def __init__(self) -> None:
        super().__init__()
        self.process = FakeProcess()
        self.notation = Notation(self.process, CELL)  # type: ignore[arg-type]
        self.sent: list[str] = []
        self.notation.begin(self.sent.append)
        self.shown: list[ShownPicture] = []

    def compose(self) -> ComposeResult:
        yield Static("above")
        yield NotationView(id="sounding")
        yield NotationView(id="coming")

    def picture(self, bars: range, columns: int, rows: int) -> ShownPicture | None:
        shown = None
        for _ in range(6):
            self.notation.listen()
            shown = self.notation.picture(bars, columns, rows, DARK.ink)
        return shown

    def show(self, columns: int = 130) -> None:
        pictures = [self.picture(bars, columns, 16) for bars in (range(16, 18), range(18, 20))]
        self.shown = [shown for shown in pictures if shown is not None]
        for view, shown in zip(self.query(NotationView), self.shown, strict=True):
            view.show(shown, BEATS, DARK.lit, DARK.field)

    def light(self, at: Fraction | None) -> None:
        column = None if at is None else self.shown[0].column(at)
        self.query_one("#sounding", NotationView).light(column)

    def cells(self) -> list[list[tuple[str, str, str]]]:
        """Rows of (letter with its marks, its colour, its ground)."""
        rows = []
        for strip in self.screen._compositor.render_strips():
            row: list[tuple[str, str, str]] = []
            for segment in strip:
                style = segment.style or Style()
                ink, ground = (str(colour.name) if colour else "" for colour in (style.color, style.bgcolor))
                row += [(cell, ink, ground) for cell in re.findall(f"{PLACEHOLDER}[^{PLACEHOLDER} ]*|.", segment.text)]
            rows.append(row)
        return rows


def run(steps: Callable[[Holder, Pilot[None]], Awaitable[None]], size: tuple[int, int] = (130, 48)) -> None:
    async def go() -> None:
        app = Holder()
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await steps(app, pilot)

    asyncio.run(go())


def test_two_systems_stand_cell_by_cell_in_their_places() -> None:
    async def steps(app: Holder, pilot: Pilot[None]) -> None:
        app.show()
        await pilot.pause()
        rows = app.cells()
        first = 1
        for shown in app.shown:
            for row in range(shown.picture.rows):
                cells = rows[first + row]
                assert [cell for cell, _, _ in cells] == [PLACEHOLDER + MARKS[row] + MARKS[x] for x in range(130)]
                assert {ink for _, ink, _ in cells} == {f"color({shown.image})"}
            first += shown.picture.rows
        assert app.shown[0].image != app.shown[1].image
        assert len(app.sent) == 2

    run(steps)


def test_the_light_stands_behind_one_beat_and_nothing_is_sent_again() -> None:
    async def steps(app: Holder, pilot: Pilot[None]) -> None:
        app.show()
        lights = (Fraction(0), range(10, 25)), (Fraction(7, 2), range(55, 70)), (Fraction(15, 2), range(115, 130))
        for at, lit in lights:
            app.light(at)
            await pilot.pause()
            rows = app.cells()
            # The staff stands in rows 6 to 8, the screen's first row above it.
            for row in (4, 7, 9, 10):
                assert [x for x, (_, _, ground) in enumerate(rows[row]) if ground == DARK.lit] == list(lit)
            assert all(ground == DARK.field for _, _, ground in rows[1])
        app.light(None)
        await pilot.pause()
        assert all(ground != DARK.lit for row in app.cells() for _, _, ground in row)
        assert len(app.sent) == 2

    run(steps)


def test_a_system_that_is_too_high_is_drawn_smaller_or_left_to_lanes() -> None:
    async def steps(app: Holder, pilot: Pilot[None]) -> None:
        smaller = app.picture(range(16, 18), 130, 10)
        assert smaller is not None
        assert smaller.picture.rows <= 10
        assert app.picture(range(16, 18), 130, 5) is None

    run(steps)


def test_another_width_is_drawn_anew_and_old_numbers_are_used_again() -> None:
    async def steps(app: Holder, pilot: Pilot[None]) -> None:
        images = []
        for columns in range(100, 120):
            shown = app.picture(range(16, 18), columns, 20)
            assert shown is not None
            assert shown.picture.columns == columns
            images.append(shown.image)
        assert all(15 < image < 256 for image in images)
        assert len(set(images)) < len(images)
        # Whatever is on the screen was sent last under its number.
        last = [text for text in app.sent if f"i={images[-1]}," in text][-1]
        assert "c=119," in last

    run(steps)


def test_under_a_dialog_no_picture_stands_and_it_comes_back() -> None:
    async def steps(app: Holder, pilot: Pilot[None]) -> None:
        app.show()
        await pilot.pause()
        before = app.cells()
        app.push_screen(Dialog())
        await pilot.pause()
        assert not any(PLACEHOLDER in cell for row in app.cells() for cell, _, _ in row)
        app.pop_screen()
        await pilot.pause()
        assert app.cells() == before
        assert len(app.sent) == 2

    run(steps)


@pytest.mark.parametrize("cuts", [[1, 2, 3, 10], [10], [4, 4, 9], [0, 10]])
def test_a_row_is_only_cut_between_cells(cuts: list[int]) -> None:
    cells = [PLACEHOLDER + MARKS[3] + MARKS[column] for column in range(10)]
    row = PictureStrip(cells, Style(color=Color.from_ansi(160)))
    pieces = row.divide(cuts)
    assert [piece.cell_length for piece in pieces] == [b - a for a, b in zip([0, *cuts], cuts, strict=False)]
    assert "".join(piece.text for piece in pieces) == "".join(cells[: cuts[-1]])
    assert all(piece.text == "" or piece.text.startswith(PLACEHOLDER) for piece in pieces)
    assert row.crop(2, 5).text == "".join(cells[2:5])
    assert isinstance(Strip.join(pieces), Strip)


def test_columns_follow_the_places_of_the_notes_and_back() -> None:
    places = ((Fraction(4), 12), (Fraction(5), 20), (Fraction(6), 40), (Fraction(8), 80))
    grid = Grid(Fraction(4), 8, gutter=7, width=81, places=places)
    assert [grid.column(at) for at in (Fraction(4), Fraction(9, 2), Fraction(6), Fraction(7), Fraction(8))] == [
        12,
        16,
        40,
        60,
        80,
    ]
    assert grid.column(Fraction(3)) < grid.gutter
    assert grid.column(Fraction(9)) == grid.width
    for column in range(12, 81):
        assert grid.column(grid.moment(column)) in (column, column - 1)
    even = Grid(Fraction(4), 8, gutter=7, width=81)
    assert all(even.column(even.moment(column)) == column for column in range(7, 81))


def test_what_had_to_give_way_is_asked_for_again() -> None:
    class Busy:
        """Draws nothing, and only remembers what it was asked."""

        def __init__(self) -> None:
            self.asked: list[Request] = []

        def draw(self, request: Request) -> None:
            self.asked.append(request)

    busy = Busy()
    notation = Notation(cast(PictureProcess, busy), CellSize(9, 18))
    for first in range(WAITING + 2):
        notation.picture(range(first, first + 2), 80, 12, "#ffffff")
    assert len(busy.asked) == WAITING + 2
    notation.picture(range(WAITING, WAITING + 2), 80, 12, "#ffffff")
    assert len(busy.asked) == WAITING + 2, "one that still waits is not asked twice"
    notation.picture(range(2), 80, 12, "#ffffff")
    assert busy.asked[-1] == busy.asked[0]

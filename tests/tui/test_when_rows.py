"""Signs of early and late: the later a stroke, the lower its sign, in one row and in two, in plain letters too."""

from fractions import Fraction
from itertools import pairwise
from types import SimpleNamespace

import pytest

from score.takes.judged_pass import JudgedStroke, StrokeState
from tui.drawing.cells import Cells
from tui.drawing.last_pass import LAST_PASS_ROWS, LastPassFacts, Partner, draw_last_pass
from tui.drawing.letters import plain
from tui.drawing.palette import DARK
from tui.drawing.time_grid import Grid
from tui.drawing.when_rows import When, draw_when

WIDTH = 60


def system() -> SimpleNamespace:
    """As much of a system as the rows ask for: four columns a quarter."""
    grid = Grid(Fraction(0), 4, gutter=7, width=WIDTH)
    return SimpleNamespace(cells=Cells(WIDTH, 5, DARK.ink, DARK.ground), grid=grid, holds=lambda at: 0 <= at < 12)


def drawn(offset: float | None, state: StrokeState, rows: int, lit: bool = False) -> tuple[int, str]:
    """Row and sign of one stroke on the second quarter."""
    at = Fraction(1)
    stroke = JudgedStroke(0, at, state, offset_ms=offset)
    when = When({} if lit else {at: stroke}, {at: offset} if lit and offset is not None else {})
    cells = draw_when(system(), when, rows, DARK)  # type: ignore[arg-type]
    assert all(len(row) == WIDTH for row in cells.plain)
    return next((row, text[11]) for row, text in enumerate(cells.plain) if text[11] != " ")


HEIGHTS = {1: "⠉⠒⠶⠤⣀", 2: "⠉⠒⠤⣀"}


@pytest.mark.parametrize("rows", [1, 2])
@pytest.mark.parametrize("lit", [False, True])
def test_the_later_the_lower(rows: int, lit: bool) -> None:
    places = [drawn(float(offset), StrokeState.LATE, rows, lit) for offset in range(-60, 61, 3)]
    heights = [4 * row + HEIGHTS[rows].index(sign) for row, sign in places]
    assert heights == sorted(heights)
    assert len(set(heights)) == (5 if rows == 1 else 8)
    assert drawn(0.0, StrokeState.TOGETHER, 1, lit) == (0, "⠶")


@pytest.mark.parametrize(
    ("state", "sign"), [(StrokeState.MISSED, "x"), (StrokeState.WRONG, "!"), (StrokeState.UNSURE, "?")]
)
@pytest.mark.parametrize("rows", [1, 2])
def test_what_was_not_played_as_written_has_a_letter(state: StrokeState, sign: str, rows: int) -> None:
    assert drawn(5.0 if state is StrokeState.WRONG else None, state, rows)[1] == sign


def test_plain_letters_keep_the_five_heights_apart() -> None:
    signs = [plain(sign) for sign in HEIGHTS[1]]
    assert len(set(signs)) == 5
    assert all(a.isascii() and len(a) == 1 for a in signs)


def head(facts: LastPassFacts, width: int) -> list[str]:
    cells = Cells(width, LAST_PASS_ROWS, DARK.ink, DARK.ground)
    draw_last_pass(cells, range(LAST_PASS_ROWS), facts, 2, DARK)
    return cells.plain


@pytest.mark.parametrize("width", [60, 80, 120, 160, 200])
def test_the_last_pass_fits_every_width(width: int) -> None:
    curve = [(at / 50, 100 + at / 10, 100.0) for at in range(51)]
    partners = [Partner(1, 12.0), Partner(3, 27.0, "you rush"), Partner(4, 80.0)]
    rows = head(
        LastPassFacts("193 of 196 strokes", curve, "Sixteenths after the rest in bar 23: 14 ms", partners), width
    )
    assert all(len(row) == width for row in rows)
    assert "193 of 196 strokes" in rows[0]
    assert "q 100-105" in rows[2]
    assert ("you rush" in rows[2]) is (width >= 120)


def test_a_tempo_that_rises_is_drawn_rising_and_a_steady_one_in_the_middle() -> None:
    rising = [(at / 20, 95 + at / 2, 100.0) for at in range(21)]
    first, second = head(LastPassFacts("", rising), 80)[1:]
    assert first.rstrip() > ""
    ends = [next(at for at, letter in enumerate(row) if "⠀" < letter <= "⣿") for row in (second, first)]
    assert all(a < b for a, b in pairwise(ends))
    steady = head(LastPassFacts("", [(at / 20, 100.2, 100.0) for at in range(21)]), 80)
    assert "q 100 " in f"{steady[2]} "
    assert plain("".join(steady)).isascii()


def test_closer_partners_have_more_of_the_bar() -> None:
    filled = [
        head(LastPassFacts("", partners=[Partner(1, float(spread))]), 120)[2].count("▰") for spread in range(0, 60, 4)
    ]
    assert filled == sorted(filled, reverse=True)
    assert (filled[0], filled[-1]) == (5, 0)

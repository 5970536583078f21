"""Early or late: a sign under each of one's own strokes, above the middle what came early, below it what came late."""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from score.takes.judged_pass import TOGETHER_MS, JudgedStroke, StrokeState
from tui.drawing.cells import Cells
from tui.drawing.palette import Palette
from tui.drawing.system_cells import System

_LINES = "⠉⠒⠤⣀"
"""A pair of dots at each of the four heights of a braille letter (Unicode 15, chapter 21.1)."""
_ONE_ROW = "⠉⠒⠶⠤⣀"
_STEPS_MS = (-30.0, -10.0, 10.0, 30.0)
_STEP_MS = 10.0
_OTHER = {StrokeState.MISSED: "x", StrokeState.WRONG: "!", StrokeState.UNSURE: "?"}


class When(NamedTuple):
    """What stands under a system.

    Attributes:
        signs: quarters from the beginning of the run to what became of the stroke there.
        lit: quarters from the beginning of the run to the offset of a stroke just struck, milliseconds.
    """

    signs: Mapping[Fraction, JudgedStroke]
    lit: Mapping[Fraction, float]


def draw_when(system: System, when: When, rows: int, colours: Palette) -> Cells:
    """The rows under a system.

    Args:
        system: whose columns they stand in.
        when: what to show.
        rows: one or two.
        colours: of the screen.
    """
    cells = Cells(system.cells.width, rows, colours.ink, colours.ground)
    for row, label in enumerate(("early", "late") if rows > 1 else ("when",)):
        cells.put(row, 0, label[: system.grid.gutter - 1], colours.faint)
    for at, stroke in when.signs.items():
        if system.holds(at) and at not in when.lit:
            _put(cells, system.grid.column(at), stroke.state, stroke.offset_ms, colours)
    for at, offset in when.lit.items():
        if system.holds(at):
            _put(cells, system.grid.column(at), _state(offset), offset, colours, is_lit=True)
    return cells


def _put(
    cells: Cells, column: int, state: StrokeState, offset: float | None, colours: Palette, *, is_lit: bool = False
) -> None:
    if state in _OTHER or offset is None:
        cells.put(cells.height // 2, column, _OTHER.get(state, "?"), colours.caution, bold=True)
        return
    row, sign = _height(offset, cells.height)
    ink = {StrokeState.EARLY: colours.caution, StrokeState.LATE: colours.player(1)}.get(state, colours.faint)
    cells.put(row, column, sign, colours.head if is_lit else ink, bold=is_lit)


def _state(offset: float) -> StrokeState:
    if abs(offset) <= TOGETHER_MS:
        return StrokeState.TOGETHER
    return StrokeState.EARLY if offset < 0 else StrokeState.LATE


def _height(offset: float, rows: int) -> tuple[int, str]:
    """Row and sign of an offset: five heights in one row, eight of ten milliseconds each in two."""
    if rows == 1:
        return 0, _ONE_ROW[sum(offset > step for step in _STEPS_MS)]
    place = min(4 * rows - 1, max(0, int(2 * rows + offset // _STEP_MS)))
    return place // 4, _LINES[place % 4]

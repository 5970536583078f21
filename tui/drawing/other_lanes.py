"""The others' lanes: small blocks at their own contour, in the player's colour, a number at the left."""

from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import Lane, LaneSign
from score.piece import StrokeKind
from tui.drawing.cells import Cells
from tui.drawing.palette import Palette
from tui.drawing.time_grid import Grid

BLOCK, UPPER, LOWER, HELD, ROLLED = "▆", "▀", "▄", "─", "~"


class LaneView(NamedTuple):
    """How a lane of another player is shown.

    Attributes:
        lane: the player's lane.
        label: what stands at its left, the player's number first.
        rows: rows it has.
        is_cue: this player's rhythm stands above one's own staff on paper.
        is_muted: the player is silent.
        low, high: levels between which its contour moves, from `level_of`.
    """

    lane: Lane
    label: str
    rows: int
    is_cue: bool
    is_muted: bool
    low: int
    high: int


def lane_view(lane: Lane, label: str, rows: int, *, is_cue: bool, is_muted: bool) -> LaneView:
    """A lane with the range of its contour over all the bars it holds: each player fills the rows."""
    levels = [level_of(sign) for sign in lane.signs] or [0]
    return LaneView(lane, label, rows, is_cue=is_cue, is_muted=is_muted, low=min(levels), high=max(levels))


def level_of(sign: LaneSign) -> int:
    """How high a stroke lies: its upper pitch; unpitched ones by their names."""
    return sign.pitches[-1] if sign.pitches else -sum(map(ord, sign.names[0])) % 7


def draw_lane(cells: Cells, row: int, view: LaneView, grid: Grid, end: Fraction, colours: Palette) -> None:
    """Draw a lane from a row on.

    Args:
        cells: where to draw.
        row: the lane's uppermost row.
        view: the lane.
        grid: columns.
        end: quarters from the beginning of the run after which nothing is drawn.
        colours: the screen's colours.
    """
    colour = colours.faint if view.is_muted else colours.player(view.lane.player)
    ink = colours.dimmed(colour, 0.45 if view.is_muted else 0.8)
    middle = row + (view.rows - 1) // 2
    cells.put(middle, 0, ("▶" if view.is_cue else " ") + view.label[: grid.gutter - 2], colour, bold=True)
    for sign in view.lane.signs:
        if sign.at + sign.length > grid.start and sign.at < end and sign.kind is not StrokeKind.GRACE:
            _draw_sign(cells, row, view, grid, sign=sign, ink=ink, line=colours.dimmed(colour, 0.5))


def _draw_sign(cells: Cells, row: int, view: LaneView, grid: Grid, *, sign: LaneSign, ink: str, line: str) -> None:
    place, letter = _place(view, level_of(sign))
    started = sign.at >= grid.start and not sign.held
    first = grid.column(max(sign.at, grid.start))
    last = min(grid.column(sign.at + sign.length), grid.width)
    tail = ROLLED if sign.kind is StrokeKind.ROLL else HELD
    for column in range(first + 1 if started else first, last):
        cells.soft(row + place, column, tail, line)
    if started:
        cells.put(row + place, first, letter, ink)


def _place(view: LaneView, level: int) -> tuple[int, str]:
    """Row of a level and its block: with several rows each holds two levels."""
    if view.rows == 1:
        return 0, BLOCK
    steps = 2 * view.rows - 1
    span = view.high - view.low
    half = round((view.high - level) * steps / span) if span else view.rows - 1
    return half // 2, LOWER if half % 2 else UPPER

"""Lanes on exact time: one row or more a player, the same column for the same moment.

Strokes differ by shape as well as by colour: ``o`` a stroke, ``O`` an accented one, ``x`` one that is damped,
``,`` a grace stroke, ``o~~~`` a roll, ``o---`` a note as long as it is written or tied, ``o--)`` one that is left to
ring, ``.`` a beat of rest.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rich.text import Text

from score.activity.lanes import Lane, LaneSign, Run, finest_step
from score.piece import StrokeKind
from tui.drawing.canvas import Row, joined

GUTTER = 8
_LEAST_COLUMNS_A_STROKE, _MOST_BARS = 2, 8
STROKE, ACCENTED, DAMPED, GRACE, ROLL, HELD, RING, REST = "o", "O", "x", ",", "~", "-", ")", "."


@dataclass(frozen=True, slots=True)
class Grid:
    """Where moments stand in a row.

    Attributes:
        width: columns of the whole row, gutter included.
        length: quarters the row shows.
    """

    width: int
    length: Fraction

    def column(self, at: Fraction) -> int:
        """Column of a moment, quarters from the beginning of the run."""
        return GUTTER + int(at * (self.width - GUTTER) / self.length)


def bars_a_page(run_of: Callable[[range], Run], first: int, last: int, player: int, width: int) -> int:
    """How many bars from a bar on fit on a page so that the player's quickest notes can be told apart.

    Args:
        run_of: gives the lanes of some bars.
        first: index of the bar to begin with.
        last: index of the last bar there is.
        player: number of the player whose lane decides.
        width: columns.
    """
    fitting = 1
    for count in range(2, min(_MOST_BARS, last - first + 1) + 1):
        run = run_of(range(first, first + count))
        lane = next(lane for lane in run.lanes if lane.player == player)
        columns = (width - GUTTER) * finest_step(lane.signs) / run.length
        if columns < _LEAST_COLUMNS_A_STROKE or (width - GUTTER) / count < 12:
            break
        fitting = count
    return fitting


def bar_row(run: Run, grid: Grid) -> Text:
    """Bar numbers and rehearsal marks over their bar lines."""
    row = Row(grid.width)
    for bar in run.bars:
        column = grid.column(bar.at)
        row.put(column, f"|{bar.label}", "bold")
        if bar.mark:
            row.put(column + len(bar.label) + 2, f"[{bar.mark}]", "bold reverse")
    return row.text


def ruler(run: Run, grid: Grid, head: int | None) -> Text:
    """The beats, and the head over the moment that sounds."""
    row = Row(grid.width)
    for bar in run.bars:
        for beat in bar.beats:
            row.put(grid.column(beat), "'", "dim")
        row.put(grid.column(bar.at), "|", "dim")
    if head is not None:
        row.put(head, "V", "bold reverse")
    return row.text


def small_lane(run: Run, lane: Lane, grid: Grid, label: str, style: str) -> Text:
    """Another player's lane on one row."""
    row = Row(grid.width)
    row.put(0, label[: GUTTER - 1], style)
    _draw_signs(row, run, lane.signs, grid, style)
    return row.text


def own_lane(run: Run, lane: Lane, grid: Grid, pitch_rows: int) -> Text:
    """The player's own lane: pitch names, strokes, stickings and words, largest of all.

    Args:
        run: the bars.
        lane: the player's own.
        grid: where moments stand.
        pitch_rows: rows for the notes of a chord, one or more.
    """
    pitches = [Row(grid.width) for _ in range(pitch_rows)]
    strokes, stickings, words = Row(grid.width), Row(grid.width), Row(grid.width)
    _draw_signs(strokes, run, lane.signs, grid, "bold")
    strokes.put(0, f"{lane.short} (you)"[: GUTTER - 1], "bold reverse")
    starts = sorted({grid.column(sign.at) for sign in lane.signs})
    for sign in lane.signs:
        column = grid.column(sign.at)
        after = next((start for start in starts if start > column), grid.width)
        for row, name in zip(reversed(pitches), _named(sign, pitch_rows), strict=False):
            row.put(column, _fitting(name, after - column), "bold" if not sign.held else "dim")
        hands = "".join(sign.stickings)
        if hands and after - column >= len(hands):
            stickings.put(column, hands)
    for word in lane.words:
        if words.room(grid.column(word.at), len(word.text)):
            words.put(grid.column(word.at), word.text, "bold italic" if word.is_change else "italic")
    return joined([*pitches, strokes, stickings, words])


def preview(run: Run, lane: Lane, grid: Grid) -> Text:
    """The player's lane on the next page, small, so that the eye can go ahead."""
    names, strokes = Row(grid.width), Row(grid.width)
    strokes.put(0, "next"[: GUTTER - 1], "dim")
    _draw_signs(strokes, run, lane.signs, grid, "dim")
    for bar in run.bars:
        names.put(grid.column(bar.at), f"|{bar.label}", "dim")
    starts = sorted({grid.column(sign.at) for sign in lane.signs})
    for sign in lane.signs:
        column = grid.column(sign.at)
        after = next((start for start in starts if start > column), grid.width)
        name = _fitting(sign.names[-1], after - column)
        if names.room(column, len(name)):
            names.put(column, name, "dim")
    return joined([names, strokes])


def _draw_signs(row: Row, run: Run, signs: Sequence[LaneSign], grid: Grid, style: str) -> None:
    for sign in signs:
        if sign.kind is not StrokeKind.GRACE:
            first, last = grid.column(sign.at), grid.column(sign.at + sign.length)
            row.put(first, HELD if sign.held and sign.kind is StrokeKind.STROKE else _head(sign), style)
            row.fill(first + 1, last - 1 if last - first > 2 else last, ROLL if sign.kind is StrokeKind.ROLL else HELD)
            if sign.rings:
                row.fill(last - 1, last, RING, style)
    for sign in signs:
        if sign.kind is StrokeKind.GRACE:
            row.fill(grid.column(sign.at) - 1, grid.column(sign.at), GRACE, style)
    for bar in run.bars:
        for beat in bar.beats:
            row.fill(grid.column(beat), grid.column(beat) + 1, REST, "dim")


def _head(sign: LaneSign) -> str:
    if sign.held:
        return ROLL
    if sign.damped:
        return DAMPED
    return ACCENTED if sign.accented else STROKE


def _named(sign: LaneSign, rows: int) -> tuple[str, ...]:
    """A chord's names from low to high; where there are too few rows the outer notes count most."""
    if len(sign.names) <= rows:
        return sign.names
    return (*sign.names[: rows - 1], sign.names[-1]) if rows > 1 else (sign.names[-1],)


def _fitting(name: str, columns: int) -> str:
    """A name cut to the columns there are: without its octave first."""
    if len(name) < columns or columns >= 5:
        return name[: max(1, columns - 1)] if len(name) >= columns else name
    bare = name.rstrip("0123456789-")
    return bare if bare and len(bare) <= columns else name[: max(1, columns)]

"""A few bars of some players in few rows: cells on exact time, one's own with the letters of the notes.

A quarter has the same whole number of columns throughout, so equal gaps look equal; where a triplet stands the number
is a multiple of three. A bar line takes no column of its own: it stands before the bar where that column is free.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, lcm
from typing import NamedTuple

from rich.text import Text

from score.activity.lanes import Lane, LaneSign, Run, run
from score.piece import Piece, StrokeKind
from tui.drawing.canvas import Row, joined
from tui.drawing.palette import Palette, ink_on, style

GUTTER = 7
_HEAD, _NARROW_HEAD = "█", "▌"
_MOST_COLUMNS = 6
_MOST_BARS = 10
"""Bars of one system at the most."""


class Sketch(NamedTuple):
    """What is drawn.

    Attributes:
        players: numbers, in the order of the rows.
        own: number of the player whose notes have letters; 0 for none.
        cued: number of the player whose row is marked; 0 for none.
    """

    players: tuple[int, ...]
    own: int = 0
    cued: int = 0


def sketch(piece: Piece, bars: range, shown: Sketch, width: int, colours: Palette) -> Text:
    """As many of the bars as fit, from the first on: their numbers, then a row a player."""
    count, columns = _fitting(piece, bars, shown.players, width)
    here = run(piece, range(bars[0], bars[0] + count))
    rows = [_numbers(here, columns, width, colours)]
    lanes = {lane.player: lane for lane in here.lanes}
    for lane in (lanes[number] for number in shown.players):
        rows.append(_lane(here, lane, columns, width, shown, colours))
    return joined(rows)


def systems(piece: Piece, bars: range, shown: Sketch, size: tuple[int, int], colours: Palette) -> list[Text]:
    """The bars one system below the other, whole systems only, with an empty row between them.

    Args:
        piece: the piece.
        bars: indices; what does not fit is left out.
        shown: whose rows.
        size: columns and rows.
        colours: the palette.
    """
    width, height = size
    lines: list[Text] = []
    first = bars[0]
    high = len(shown.players) + 1
    while first <= bars[-1] and len(lines) + high <= height:
        rest = range(first, bars[-1] + 1)
        lines += [*sketch(piece, rest, shown, width, colours).split("\n"), Text("")]
        first += _fitting(piece, rest, shown.players, width)[0]
    return lines[:-1]


def columns_a_quarter(steps: Sequence[Fraction], room: Fraction) -> int:
    """The largest whole number of columns a quarter that fits and keeps strokes apart.

    Args:
        steps: where strokes stand, quarters from the beginning.
        room: columns there are for each quarter.
    """
    least = max((step.denominator for step in steps), default=1)
    third = any(step.denominator % 3 == 0 for step in steps)
    unit = lcm(1, 3) if third else 1
    fitting = int(room) // unit * unit
    return min(max(fitting, unit), max(ceil(least / unit) * unit, _MOST_COLUMNS // unit * unit))


def _fitting(piece: Piece, bars: range, players: Sequence[int], width: int) -> tuple[int, int]:
    """How many bars fit so that strokes are told apart, and the columns a quarter they have then."""
    part = run(piece, bars[:_MOST_BARS])
    moments = sorted(_steps(part, players))
    ends = [bar.at + bar.length for bar in part.bars]
    count = 1
    for more, end in enumerate(ends, 1):
        if end * _least([step for step in moments if step < end]) > width - GUTTER:
            break
        count = more
    steps = [step for step in moments if step < ends[count - 1]]
    return count, columns_a_quarter(steps, Fraction(width - GUTTER) / ends[count - 1])


def _least(steps: Sequence[Fraction]) -> int:
    least = max((step.denominator for step in steps), default=1)
    return ceil(least / 3) * 3 if any(step.denominator % 3 == 0 for step in steps) else least


def _steps(part: Run, players: Sequence[int]) -> list[Fraction]:
    lanes = [lane for lane in part.lanes if lane.player in players]
    return [sign.at for lane in lanes for sign in lane.signs if sign.kind is not StrokeKind.GRACE]


def _column(at: Fraction, columns: int) -> int:
    return GUTTER + int(at * columns)


def _numbers(here: Run, columns: int, width: int, colours: Palette) -> Row:
    row = Row(width)
    for bar in here.bars:
        column = _column(bar.at, columns)
        if row.room(column, len(bar.label)):
            row.put(column, bar.label, style(colours.ink, bold=True) if bar.mark else colours.faint)
    return row


def _lane(here: Run, lane: Lane, columns: int, width: int, shown: Sketch, colours: Palette) -> Row:
    row, colour = Row(width), colours.player(lane.player)
    mine = lane.player == shown.own
    row.put(0, "▶" if lane.player == shown.cued else " ", style(colour, bold=True))
    label = style(ink_on(colour), colour, bold=True) if mine else style(colour, bold=True)
    row.put(1, f" {lane.player} ", label)
    for sign in sorted(lane.signs, key=lambda sign: sign.kind is StrokeKind.GRACE):
        if sign.kind is not StrokeKind.GRACE:
            _stroke(row, sign, columns, colour if mine else colours.dimmed(colour, 0.8), mine, colours)
    for column in range(GUTTER, width - 1):
        # Strokes in neighbouring columns stay two.
        if row.cells[column] == _HEAD and row.cells[column + 1] == _HEAD:
            row.cells[column] = _NARROW_HEAD
    for bar in here.bars:
        for beat in bar.beats:
            column = _column(beat, columns)
            row.fill(column, column + 1, "·", colours.line)
        before = _column(bar.at, columns) - 1
        row.fill(before, before + 1, "│", colours.line)
    return row


def _stroke(row: Row, sign: LaneSign, columns: int, colour: str, mine: bool, colours: Palette) -> None:
    first, last = _column(sign.at, columns), _column(sign.at + sign.length, columns)
    if sign.held:
        row.put(first, "─", colours.dimmed(colour, 0.6))
    elif mine and sign.names:
        row.put(first, sign.names[-1][:1], style(ink_on(colour), colour, bold=True))
    else:
        row.put(first, _HEAD, colour)
    row.fill(first + 1, last, "~" if sign.kind is StrokeKind.ROLL else "─", colours.dimmed(colour, 0.6))

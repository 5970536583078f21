"""The piece at a glance: bars from left to right, a row a player, denser letters where more is struck."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.text import Text

from score.activity.who_moves import BarActivity, activity
from score.piece import Piece
from tui.drawing.canvas import Row, joined

GUTTER = 9
SILENT, HELD = " ", "-"
_DENSITIES = ((2.0, "."), (4.0, ":"), (7.0, "+"), (float("inf"), "#"))
"""Up to so many strokes a bar: a letter. Held or rolled alone is a line."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of bars to mark under the rows.

    Attributes:
        bars: indices.
        name: its name.
        letter: how far the player is with it, one letter.
    """

    bars: range
    name: str
    letter: str = ""


def glance(piece: Piece, width: int, own: int, stretches: Sequence[Stretch] = (), chosen: int | None = None) -> Text:
    """Marks, a row a player and the stretches, as rows of text.

    Args:
        piece: the piece.
        width: columns.
        own: number of the player whose row stands out; 0 for none.
        stretches: chunks, in order.
        chosen: position of the chosen stretch.
    """
    columns = width - GUTTER
    rows = [_marks(piece, width)]
    facts = activity(piece)
    for player in piece.players:
        row = Row(width)
        mine = player.number == own
        row.put(0, player.short[: GUTTER - 1], "bold reverse" if mine else "")
        for column in range(columns):
            letter = _letter(facts.rows[facts.row(player.number)], _bars_of(column, columns, len(piece.bars)))
            row.put(GUTTER + column, letter, "bold" if mine else "")
        rows.append(row)
    if stretches:
        rows += _stretches(piece, width, stretches, chosen)
    return joined(rows)


def column_of(bar: int, bars: int, width: int) -> int:
    """Column where a bar begins."""
    return GUTTER + bar * (width - GUTTER) // max(1, bars)


def _bars_of(column: int, columns: int, bars: int) -> range:
    first = column * bars // columns
    return range(first, max(first + 1, (column + 1) * bars // columns))


def _letter(row: Sequence[BarActivity], bars: range) -> str:
    here = [row[bar] for bar in bars]
    struck = sum(len(bar.onsets) for bar in here) / len(here)
    if struck == 0:
        return HELD if any(bar.sounds for bar in here) else SILENT
    return next(letter for most, letter in _DENSITIES if struck <= most)


def _marks(piece: Piece, width: int) -> Row:
    row = Row(width)
    row.put(0, "bar")
    for bar in piece.bars:
        column = column_of(bar.index, len(piece.bars), width)
        if bar.rehearsal_mark and row.room(column, len(bar.rehearsal_mark)):
            row.put(column, bar.rehearsal_mark, "bold reverse")
    for bar in piece.bars[::10]:
        column = column_of(bar.index, len(piece.bars), width)
        if row.room(column, len(bar.label)):
            row.put(column, bar.label, "dim")
    return row


def _stretches(piece: Piece, width: int, stretches: Sequence[Stretch], chosen: int | None) -> list[Row]:
    edges, letters = Row(width), Row(width)
    edges.put(0, "chunks")
    letters.put(0, "you are")
    for position, stretch in enumerate(stretches):
        first = column_of(stretch.bars[0], len(piece.bars), width)
        last = max(first + 1, column_of(stretch.bars[-1] + 1, len(piece.bars), width))
        style = "bold reverse" if position == chosen else ""
        edges.put(
            first, "|" + "=" * (last - first - 1) if position == chosen else "|" + "_" * (last - first - 1), style
        )
        letters.put((first + last) // 2, stretch.letter, style)
    return [edges, letters]

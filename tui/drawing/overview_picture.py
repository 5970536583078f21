"""The piece at a glance: who plays when as heights, the chunks as boxes under them, remarks of the set-up."""

from collections.abc import Sequence
from typing import NamedTuple

from rich.text import Text

from score.activity.who_moves import BarActivity, activity
from score.piece import Piece
from tui.drawing.canvas import Row, joined
from tui.drawing.palette import Palette, ink_on, style

GUTTER = 6
HEIGHTS = " ▁▂▃▄▅▆▇█"
_HELD = "▁"
_SHADES = (0.18, 0.32, 0.5, 0.75, 1.0)
"""How bright a chunk's box is: not begun, learning notes, under tempo, at tempo, by heart."""


class ChunkBox(NamedTuple):
    """A chunk to draw.

    Attributes:
        bars: indices.
        name: its name.
        ready: 0 (learning notes) to 3 (by heart), None when not begun.
    """

    bars: range
    name: str
    ready: int | None = None


class Overview(NamedTuple):
    """What the picture shows.

    Attributes:
        own: number of the player whose row is brightest.
        boxes: chunks, in order.
        chosen: position of the chosen one.
        remarks: indices of bars where the set-up has something to say.
        rows_a_player: 1 to 3.
    """

    own: int
    boxes: Sequence[ChunkBox]
    chosen: int
    remarks: Sequence[int] = ()
    rows_a_player: int = 1


def overview(piece: Piece, shown: Overview, width: int, colours: Palette) -> Text:
    """Marks, heights, boxes and remarks as rows of text, as wide as asked."""
    rows = [_marks(piece, width, colours)]
    for number in (player.number for player in piece.players):
        rows += _heights(piece, number, shown, width, colours)
    rows.append(_boxes(piece, shown, width, colours))
    if shown.remarks:
        rows.append(_remarks(piece, shown, width, colours))
    return joined(rows)


def column_of(bar: int, bars: int, width: int) -> int:
    """Column where a bar begins."""
    return GUTTER + bar * (width - GUTTER - 1) // max(1, bars)


def chunk_at(column: int, piece: Piece, boxes: Sequence[ChunkBox], width: int) -> int | None:
    """Position of the chunk drawn at a column, None beside them."""
    for position, box in enumerate(boxes):
        first, last = _edges(box, piece, width)
        if first <= column < last:
            return position
    return None


def _edges(box: ChunkBox, piece: Piece, width: int) -> tuple[int, int]:
    first = column_of(box.bars[0], len(piece.bars), width)
    return first, max(first + 1, column_of(box.bars[-1] + 1, len(piece.bars), width))


def _marks(piece: Piece, width: int, colours: Palette) -> Row:
    row = Row(width)
    for bar in piece.bars:
        column = column_of(bar.index, len(piece.bars), width)
        if bar.rehearsal_mark and row.room(column, len(bar.rehearsal_mark) + len(bar.label)):
            row.put(column, bar.rehearsal_mark, style(colours.ink, bold=True))
            row.put(column + len(bar.rehearsal_mark), bar.label, colours.faint)
    for bar in piece.bars[::10]:
        column = column_of(bar.index, len(piece.bars), width)
        if row.room(column, len(bar.label)):
            row.put(column, bar.label, colours.line)
    return row


def _heights(piece: Piece, number: int, shown: Overview, width: int, colours: Palette) -> list[Row]:
    """A player's strokes a bar as heights over one to three rows."""
    facts = activity(piece)
    bars, columns = facts.rows[facts.row(number)], width - GUTTER - 1
    mine, colour = number == shown.own, colours.player(number)
    ink = colour if mine else colours.dimmed(colour, 0.7)
    most = max((len(bar.onsets) for row in facts.rows for bar in row), default=1) or 1
    rows = [Row(width) for _ in range(shown.rows_a_player)]
    label = f" {number} "
    rows[-1].put(0, label, style(ink_on(colour), colour, bold=True) if mine else style(colour, bold=True))
    for column in range(columns):
        level = _level(bars, _bars_of(column, columns, len(piece.bars)), most, 8 * len(rows))
        for up, row in enumerate(reversed(rows)):
            sign = HEIGHTS[max(0, min(8, level - 8 * up))] if level >= 0 else (_HELD if up == 0 else " ")
            row.put(GUTTER + column, sign, ink if level >= 0 else colours.dimmed(colour, 0.45))
    return rows


def _level(bars: Sequence[BarActivity], here: range, most: int, heights: int) -> int:
    """Eighths of a row: 0 nothing, -1 something held or rolled on without a stroke."""
    struck = sum(len(bars[bar].onsets) for bar in here) / len(here)
    if struck == 0:
        return -1 if any(bars[bar].sounds for bar in here) else 0
    return max(1, round(heights * struck / most))


def _bars_of(column: int, columns: int, bars: int) -> range:
    first = column * bars // columns
    return range(first, max(first + 1, (column + 1) * bars // columns))


def _boxes(piece: Piece, shown: Overview, width: int, colours: Palette) -> Row:
    row = Row(width)
    row.put(0, "ready", colours.faint)
    mine = colours.player(shown.own)
    for position, box in enumerate(shown.boxes):
        first, last = _edges(box, piece, width)
        ground = colours.dimmed(mine, _SHADES[0 if box.ready is None else box.ready + 1])
        chosen = position == shown.chosen
        wide = max(1, last - first - 1)
        name = f"[{box.name}]" if chosen and wide >= len(box.name) + 2 else box.name
        text = name[:wide].ljust(wide)
        row.put(first, text, f"{style(ink_on(ground), ground, bold=chosen)}{' underline' if chosen else ''}")
    return row


def _remarks(piece: Piece, shown: Overview, width: int, colours: Palette) -> Row:
    row = Row(width)
    row.put(0, "fit", colours.faint)
    for bar in shown.remarks:
        row.put(column_of(bar, len(piece.bars), width), "!", style(colours.bad, bold=True))
    return row

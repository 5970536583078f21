"""The tempo of a recording on paper: bar by bar against the score's, with chunks and marks over it."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from score.chunks.chunk import Chunk
from score.piece import Piece
from score.places import bar_name
from score.printing.fonts import TEXT
from score.printing.typesetting import quoted, to_pdf
from score.recording.bar_tempi import BarTempo, bar_tempi
from score.recording.heard_bars import HeardRecording
from score.recording.recording_summary import clock

_WIDTH, _HEIGHT, _SIDE = 297.0, 210.0, 15.0
_LEFT, _WIDE = 12.0, _WIDTH - 2 * _SIDE - 14.0
_TOP, _TALL, _ROW = 22.0, 56.0, 84.0
"""Millimetres from the top of the page to its first row, of a row's field, and from row to row."""
_ROWS, _COLUMNS = 2, 60
_NARROWEST = 40
"""Columns of a row that has few: bars of a short one are not drawn wider."""
_GAP = 1
"""Columns left free where the music went elsewhere."""
_LABEL = 9.0
"""Millimetres from one bar number to the next at the least."""
_LOW, _HIGH = 0.5, 1.5
_PLAYED, _WRITTEN, _FAINT = "black", "luma(120)", "luma(205)"


class _ChartBar(NamedTuple):
    """A bar in its column of a row, and whether the music came from elsewhere."""

    tempo: BarTempo
    column: int
    jumped: bool


def tempo_chart(piece: Piece, heard: HeardRecording, chunks: Sequence[Chunk]) -> bytes:
    """The chart as a PDF: rows of up to sixty bars as they were played, two on a page.

    Args:
        piece: the piece.
        heard: the recording.
        chunks: the piece's chunks.
    """
    head = (
        f"#set document(title: {quoted(piece.title)}, date: none)\n"
        f"#set page(width: {_WIDTH}mm, height: {_HEIGHT}mm, margin: {_SIDE}mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: 8pt)\n"
    )
    rows = list(_rows(bar_tempi(piece, heard)))
    pages = [rows[first : first + _ROWS] for first in range(0, len(rows), _ROWS)]
    return to_pdf(head + "\n#pagebreak()\n".join("\n".join(_page(piece, page, chunks)) for page in pages))


def _rows(tempi: Sequence[BarTempo]) -> Iterator[list[_ChartBar]]:
    """Bars in rows; one begins early where the music goes elsewhere in its last third."""
    row: list[_ChartBar] = []
    before: BarTempo | None = None
    for tempo in tempi:
        jumped = before is not None and before.bar + 1 != tempo.bar
        column = row[-1].column + 1 + _GAP * jumped if row else 0
        if column >= _COLUMNS or (jumped and column > _COLUMNS * 2 // 3):
            yield row
            row, column = [], 0
        row.append(_ChartBar(tempo, column, jumped or not row))
        before = tempo
    if row:
        yield row


def _page(piece: Piece, rows: Sequence[Sequence[_ChartBar]], chunks: Sequence[Chunk]) -> Iterator[str]:
    yield _text(0, 0, f"{piece.title}: tempo as it was played", 13)
    yield _text(0, 6.5, "share of the score's tempo; line: over three bars, dots: each bar, gaps: in doubt", 9)
    for number, row in enumerate(rows):
        yield from _row(piece, row, chunks, _TOP + number * _ROW)


def _row(piece: Piece, row: Sequence[_ChartBar], chunks: Sequence[Chunk], top: float) -> Iterator[str]:
    step = _WIDE / max(row[-1].column + 1, _NARROWEST)
    wide = (row[-1].column + 1) * step
    for share in (0.6, 0.8, 1.0, 1.2, 1.4):
        yield _line(_LEFT, _down(share, top), wide, 0, _WRITTEN if share == 1.0 else _FAINT)
        yield _text(0, _down(share, top) - 1.3, f"{100 * share:.0f} %", 7)
    yield from _places(piece, row, chunks, step, top=top)
    for index, each in enumerate(row):
        x, tempo = _LEFT + (each.column + 0.5) * step, each.tempo
        if tempo.share is None:
            continue
        yield _dot(x, _down(tempo.played / max(1e-6, tempo.written), top), 0.45, _WRITTEN)
        before = None if each.jumped else row[index - 1].tempo.share
        if before is not None:
            yield _line(x - step, _down(before, top), step, _down(tempo.share, top) - _down(before, top), _PLAYED)
        else:
            yield _dot(x, _down(tempo.share, top), 0.6, _PLAYED)


def _places(
    piece: Piece, row: Sequence[_ChartBar], chunks: Sequence[Chunk], step: float, *, top: float
) -> Iterator[str]:
    """Chunks and rehearsal marks above, bars and seconds below, a line where the music came from elsewhere."""
    begins = {chunk.first: chunk.name for chunk in chunks}
    labelled = _labelled(row, step)
    for each in row:
        x, index = _LEFT + each.column * step, each.tempo.bar
        mark = piece.bars[index].rehearsal_mark
        if index in begins or mark or each.jumped:
            yield _line(x, top, 0, _TALL, _WRITTEN if each.jumped else _FAINT)
        if index in begins:
            yield _text(x + 0.6, top - 1, begins[index], 8)
        if mark and mark != begins.get(index):
            yield _text(x + 0.6, top - 5, f"[{mark}]", 7)
        if each.column in labelled:
            yield _text(x, top + _TALL + 2, bar_name(piece, index), 7)
            yield _text(x, top + _TALL + 6, clock(each.tempo.seconds).partition(".")[0], 6)


def _labelled(row: Sequence[_ChartBar], step: float) -> set[int]:
    """Columns with a bar number: where the music came from elsewhere, and between as near as there is room."""
    columns = {each.column for each in row if each.jumped}
    for each in row:
        if all(abs(each.column - other) * step >= _LABEL for other in columns):
            columns.add(each.column)
    return columns


def _down(share: float, top: float) -> float:
    inside = min(_HIGH, max(_LOW, share))
    return top + _TALL * (_HIGH - inside) / (_HIGH - _LOW)


def _text(x: float, y: float, text: str, size: float) -> str:
    return f"#place(dx: {x:.2f}mm, dy: {y:.2f}mm, text(size: {size}pt, {quoted(text)}))"


def _line(x: float, y: float, right: float, down: float, ink: str) -> str:
    stroke = f"0.25mm + {ink}"
    return f"#place(dx: {x:.2f}mm, dy: {y:.2f}mm, line(end: ({right:.2f}mm, {down:.2f}mm), stroke: {stroke}))"


def _dot(x: float, y: float, radius: float, ink: str) -> str:
    return f"#place(dx: {x - radius:.2f}mm, dy: {y - radius:.2f}mm, circle(radius: {radius}mm, fill: {ink}))"

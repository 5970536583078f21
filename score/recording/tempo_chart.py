"""The tempo of a recording on paper: bar by bar against the score's, with chunks and marks over it."""

from collections.abc import Iterator, Sequence

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
_TOP, _TALL = 34.0, 118.0
_BARS_A_PAGE = 96
_LOW, _HIGH = 0.5, 1.5
_PLAYED, _WRITTEN, _FAINT = "black", "luma(120)", "luma(205)"


def tempo_chart(piece: Piece, heard: HeardRecording, chunks: Sequence[Chunk]) -> bytes:
    """The chart as a PDF, a page for every hundred bars or so, as they were played.

    Args:
        piece: the piece.
        heard: the recording.
        chunks: the piece's chunks.
    """
    tempi = bar_tempi(piece, heard)
    pages = [tempi[start : start + _BARS_A_PAGE] for start in range(0, len(tempi), _BARS_A_PAGE)]
    head = (
        f"#set document(title: {quoted(piece.title)}, date: none)\n"
        f"#set page(width: {_WIDTH}mm, height: {_HEIGHT}mm, margin: {_SIDE}mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: 8pt)\n"
    )
    return to_pdf(head + "\n#pagebreak()\n".join("\n".join(_page(piece, page, chunks)) for page in pages))


def _page(piece: Piece, tempi: Sequence[BarTempo], chunks: Sequence[Chunk]) -> Iterator[str]:
    step = _WIDE / max(len(tempi), 24)
    yield _text(0, 0, f"{piece.title}: tempo as it was played", 13)
    yield _text(0, 6.5, "share of the score's tempo; line: over three bars, dots: each bar, gaps: in doubt", 9)
    for share in (0.6, 0.8, 1.0, 1.2, 1.4):
        yield _line(_LEFT, _down(share), _WIDE, 0, _WRITTEN if share == 1.0 else _FAINT)
        yield _text(0, _down(share) - 1.3, f"{100 * share:.0f} %", 7)
    yield from _places(piece, tempi, chunks, step)
    for index, tempo in enumerate(tempi):
        x = _LEFT + (index + 0.5) * step
        if tempo.share is None:
            continue
        yield _dot(x, _down(tempo.played / max(1e-6, tempo.written)), 0.45, _WRITTEN)
        before = tempi[index - 1] if index else None
        if before is not None and before.share is not None and before.bar + 1 == tempo.bar:
            yield _line(x - step, _down(before.share), step, _down(tempo.share) - _down(before.share), _PLAYED)
        else:
            yield _dot(x, _down(tempo.share), 0.6, _PLAYED)


def _places(piece: Piece, tempi: Sequence[BarTempo], chunks: Sequence[Chunk], step: float) -> Iterator[str]:
    """Chunks and rehearsal marks above, bars and seconds below, a line where the music went elsewhere."""
    begins = {chunk.first: chunk.name for chunk in chunks}
    apart = max(1, round(9 / step))
    for index, tempo in enumerate(tempi):
        x, bar = _LEFT + index * step, piece.bars[tempo.bar]
        jumped = index > 0 and tempi[index - 1].bar + 1 != tempo.bar
        if tempo.bar in begins or bar.rehearsal_mark or jumped:
            yield _line(x, _TOP - 6, 0, _TALL + 6, _FAINT)
        if tempo.bar in begins:
            yield _text(x + 0.6, _TOP - 7, begins[tempo.bar], 8)
        if bar.rehearsal_mark and bar.rehearsal_mark != begins.get(tempo.bar):
            yield _text(x + 0.6, _TOP - 11, f"[{bar.rehearsal_mark}]", 7)
        if index % apart == 0 or jumped:
            yield _text(x, _TOP + _TALL + 2, bar_name(piece, tempo.bar), 7)
            yield _text(x, _TOP + _TALL + 6, clock(tempo.seconds).partition(".")[0], 6)


def _down(share: float) -> float:
    inside = min(_HIGH, max(_LOW, share))
    return _TOP + _TALL * (_HIGH - inside) / (_HIGH - _LOW)


def _text(x: float, y: float, text: str, size: float) -> str:
    return f"#place(dx: {x:.2f}mm, dy: {y:.2f}mm, text(size: {size}pt, {quoted(text)}))"


def _line(x: float, y: float, right: float, down: float, ink: str) -> str:
    stroke = f"0.25mm + {ink}"
    return f"#place(dx: {x:.2f}mm, dy: {y:.2f}mm, line(end: ({right:.2f}mm, {down:.2f}mm), stroke: {stroke}))"


def _dot(x: float, y: float, radius: float, ink: str) -> str:
    return f"#place(dx: {x - radius:.2f}mm, dy: {y - radius:.2f}mm, circle(radius: {radius}mm, fill: {ink}))"

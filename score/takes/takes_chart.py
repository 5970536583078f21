"""Passes on paper: a page a chunk, strokes of the latest passes against the score, spread and tempo over the weeks."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from score.chunks.chunk import Chunk
from score.piece import Piece
from score.places import bar_name, bars_words
from score.printing.fonts import TEXT
from score.printing.typesetting import quoted, to_pdf
from score.strokes.timing_figures import LEAST_FOR_SPREAD, spread
from score.takes.judged_pass import TOGETHER_MS, JudgedPass, JudgedStroke, StrokeState

_WIDTH, _HEIGHT, _SIDE = 297.0, 210.0, 15.0
_LEFT, _PLOT = 22.0, _WIDTH - 2 * _SIDE - 24.0
_TOP, _TALL = 14.0, 82.0
_BELOW, _LOW = 118.0, 42.0
_REACH_MS = 120.0
_MOST_PASSES = 12
_EARLIER, _LATEST = "luma(165)", "black"


class ChartPass(NamedTuple):
    """A pass for the chart.

    Attributes:
        at: when it was played.
        tempo: as a share of the written tempo.
        judged: what was said of it.
    """

    at: datetime
    tempo: float
    judged: JudgedPass


def takes_chart(piece: Piece, player: int, chunks: Sequence[Chunk], passes: Sequence[ChartPass]) -> bytes:
    """The chart as a PDF; chunks in which nothing was heard have no page.

    Args:
        piece: the piece.
        player: whose passes.
        chunks: the piece's chunks.
        passes: the earliest first. Of each chunk the strokes of its latest dozen are drawn, spread and tempo of all.
    """
    judged = [p for p in passes if p.judged.judged]
    title = f"{piece.title}: {piece.player(player).name}"
    head = (
        f"#set document(title: {quoted(title)}, date: none)\n"
        f"#set page(width: {_WIDTH}mm, height: {_HEIGHT}mm, margin: {_SIDE}mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: 8pt)\n"
    )
    pages = [page for chunk in chunks if (page := _page(piece, title, chunk, judged))]
    return to_pdf(head + "\n#pagebreak()\n".join(pages or [f"#text({quoted('No judged passes')})"]))


def _page(piece: Piece, title: str, chunk: Chunk, passes: Sequence[ChartPass]) -> str:
    inside = [(p, [s for s in p.judged.strokes if s.bar in chunk.bars]) for p in passes]
    inside = [(p, strokes) for p, strokes in inside if any(s.seconds is not None for s in strokes)]
    if not inside:
        return ""
    name = f"{chunk.name}, {bars_words(piece, chunk.bars)}"
    latest = [strokes for _, strokes in inside[-_MOST_PASSES:]]
    parts = [_text(0, 0, title, 13), _text(0, 6.5, name, 10), *_frame(piece, chunk), *_inks(len(latest) - 1)]
    for number, strokes in enumerate(latest, start=1):
        parts += _strokes(piece, chunk, strokes, is_latest=number == len(latest))
    parts += _days("spread, ms", [(p.at, _spread(strokes)) for p, strokes in inside], 0)
    parts += _days("tempo, % of written", [(p.at, 100 * p.tempo) for p, _ in inside], 1)
    return "\n".join(parts)


def _spread(strokes: Sequence[JudgedStroke]) -> float | None:
    offsets = [s.timed_ms for s in strokes if s.timed_ms is not None]
    return spread(offsets) if len(offsets) >= LEAST_FOR_SPREAD else None


def _frame(piece: Piece, chunk: Chunk) -> Iterator[str]:
    """The band of what is together, bar lines with their numbers, the scale in milliseconds."""
    band = 2 * _TALL * TOGETHER_MS / _REACH_MS
    yield _box(_LEFT, _TOP + (_TALL - band) / 2, _PLOT, band, "luma(238)")
    yield _line(_LEFT, _middle(), _PLOT, 0, "luma(120)")
    apart = max(1, len(chunk.bars) // 24)
    for bar in chunk.bars:
        x = _across(piece, chunk, float(piece.bars[bar].start))
        yield _line(x, _TOP, 0, _TALL, "luma(205)")
        if (bar - chunk.bars[0]) % apart == 0:
            yield _text(x + 0.5, _TOP + _TALL + 4.5, bar_name(piece, bar), 7)
    for ms, words in ((-50, "50 ms early"), (-20, "20 early"), (0, "0"), (20, "20 late"), (50, "50 ms late")):
        yield _ending(_LEFT - 2, _down(ms) - 1.3, words, 7)
    yield _ending(_LEFT - 2, _TOP + _TALL + 0.7, "missed", 7)


def _inks(earlier: int) -> Iterator[str]:
    """Which dots are of which pass."""
    x, y = _LEFT + _PLOT - 62, 8.0
    if earlier:
        yield _dot(x, y, 0.55, _EARLIER)
        yield _text(x + 2, y - 1.3, "the pass before" if earlier == 1 else f"{earlier} passes before", 7)
    yield _dot(x + 32, y, 0.75, _LATEST)
    yield _text(x + 34, y - 1.3, "latest pass", 7)


def _strokes(piece: Piece, chunk: Chunk, strokes: Sequence[JudgedStroke], is_latest: bool) -> Iterator[str]:
    ink = _LATEST if is_latest else _EARLIER
    size = 0.75 if is_latest else 0.55
    for stroke in strokes:
        x = _across(piece, chunk, float(piece.offset_of(stroke.bar, stroke.at)))
        if stroke.state is StrokeState.MISSED:
            yield _line(x - 0.7, _TOP + _TALL + 1.2, 1.4, 1.4, ink)
            yield _line(x - 0.7, _TOP + _TALL + 2.6, 1.4, -1.4, ink)
        elif stroke.offset_ms is not None:
            y = _down(max(-_REACH_MS / 2, min(_REACH_MS / 2, stroke.offset_ms)))
            yield _dot(x, y, size, ink)


def _days(label: str, points: Sequence[tuple[datetime, float | None]], column: int) -> Iterator[str]:
    """A small picture over the weeks: time to the right with a mark a week, the figure upwards."""
    told = [(at, value) for at, value in points if value is not None]
    wide, x0 = _PLOT / 2 - 14, _LEFT + column * (_PLOT / 2 + 4)
    if not told:
        yield _text(x0, _BELOW - 5, f"{label}: too few strokes to say", 9)
        return
    first, last = points[0][0], points[-1][0]
    span = max(1.0, (last - first).total_seconds())
    low, high = min(value for _, value in told), max(value for _, value in told)
    pad = max(1.0, 0.15 * (high - low))
    yield _text(x0, _BELOW - 5, label, 9)
    yield _line(x0, _BELOW + _LOW, wide, 0, "luma(120)")
    yield _line(x0, _BELOW, 0, _LOW, "luma(120)")
    for value in dict.fromkeys((low, high)):
        yield _ending(x0 - 2, _BELOW + _LOW * _part(value, low - pad, high + pad) - 1.3, f"{value:.0f}", 7)
    for week in _weeks(first, last):
        x = x0 + 3 + (wide - 6) * (week - first).total_seconds() / span
        yield _line(x, _BELOW + _LOW, 0, 1.2, "luma(120)")
    for at, value in told:
        x = x0 + 3 + (wide - 6) * ((at - first).total_seconds() / span if first != last else 0.5)
        yield _dot(x, _BELOW + _LOW * _part(value, low - pad, high + pad), 0.9, _LATEST)
    if last.date() == first.date():
        yield _text(x0 + wide / 2 - 7, _BELOW + _LOW + 1.5, f"{first:%Y-%m-%d}", 7)
        return
    yield _text(x0, _BELOW + _LOW + 1.5, f"{first:%Y-%m-%d}", 7)
    yield _ending(x0 + wide, _BELOW + _LOW + 1.5, f"{last:%Y-%m-%d}", 7)


def _weeks(first: datetime, last: datetime) -> list[datetime]:
    """Every seventh day from the first on, so many that they stand apart."""
    weeks = (last - first).days // 7
    return [first + timedelta(weeks=week) for week in range(0, weeks + 1, 1 + weeks // 52)] if weeks else []


def _part(value: float, low: float, high: float) -> float:
    return 1 - (value - low) / (high - low)


def _across(piece: Piece, chunk: Chunk, offset: float) -> float:
    start = float(piece.bars[chunk.bars[0]].start)
    end = float(piece.bars[chunk.bars[-1]].start + piece.bars[chunk.bars[-1]].length)
    return _LEFT + _PLOT * (offset - start) / (end - start)


def _middle() -> float:
    return _TOP + _TALL / 2


def _down(ms: float) -> float:
    return _middle() + _TALL * ms / _REACH_MS


def _text(x: float, y: float, text: str, size: float) -> str:
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, text(size: {size}pt, {quoted(text)}))"


def _ending(x: float, y: float, text: str, size: float) -> str:
    """A text that ends at x."""
    shape = f"box(width: {_LEFT}mm, align(right, text(size: {size}pt, {quoted(text)})))"
    return f"#place(top + left, dx: {x - _LEFT:.2f}mm, dy: {y:.2f}mm, {shape})"


def _line(x: float, y: float, dx: float, dy: float, ink: str) -> str:
    ends = f"start: ({x:.2f}mm, {y:.2f}mm), end: ({x + dx:.2f}mm, {y + dy:.2f}mm)"
    return f"#place(top + left, line({ends}, stroke: 0.25mm + {ink}))"


def _box(x: float, y: float, wide: float, tall: float, fill: str) -> str:
    shape = f"rect(width: {wide:.2f}mm, height: {tall:.2f}mm, fill: {fill})"
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, {shape})"


def _dot(x: float, y: float, radius: float, ink: str) -> str:
    return (
        f"#place(top + left, dx: {x - radius:.2f}mm, dy: {y - radius:.2f}mm, circle(radius: {radius}mm, fill: {ink}))"
    )

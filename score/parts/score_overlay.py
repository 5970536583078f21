"""What the group works with, written over the score: chunks, who leads, breaths, words, and the tempo it shapes.

All of it stands in a strip above each system, so nothing of the music moves and nothing is written over.
"""

from collections.abc import Sequence
from fractions import Fraction
from html import escape

from lxml import etree

from score.parts.drawn_staves import UNITS_PER_MM, staff_edges
from score.parts.engraver import EngravedSystem
from score.parts.score_jobs import Curve, ScoreMark
from score.piece import Piece
from score.printing.hand_signs import HAND, LETTER
from score.time.pulse import tempo_map
from score.time.shapes import Shape
from score.time.tempo_map import TempoMap

_SIZE, _SMALL = 2.8 * UNITS_PER_MM, 2.2 * UNITS_PER_MM
_LINE, _AIR, _CURVE = 1.5 * _SIZE, 0.9 * UNITS_PER_MM, 6.0 * UNITS_PER_MM
_FIRST_NOTE = 2.0 * UNITS_PER_MM
_GREY = "#777"


def written_over(
    system: EngravedSystem, bars: range, piece: Piece, marks: Sequence[ScoreMark], curve: Curve | None
) -> EngravedSystem:
    """A system with its marks above it.

    Args:
        system: as engraved.
        bars: indices of its bars.
        piece: the piece.
        marks: of the whole piece, in order.
        curve: the tempo to draw over bars that a shape changes, None for none.
    """
    edges = [staff_edges(measure) for measure in system.measures]
    here = [mark for mark in marks if mark.bar in bars]
    top = system.top - _AIR
    drawn, height = _in_lines(here, bars, piece, edges, top)
    if curve is not None:
        line, curve_height = _curve(curve, bars, piece, edges, top - height)
        drawn, height = drawn + line, height + curve_height
    if not drawn:
        return system
    head, _, tail = system.svg.rpartition("</g>")
    return system._replace(svg=f"{head}{drawn}</g>{tail}", top=top - height)


def with_curve(system: EngravedSystem, bars: Sequence[range], curve: Curve) -> EngravedSystem:
    """A system of a part with the tempo above it where a shape changes it.

    Args:
        system: as engraved.
        bars: for each of its measures the indices of the bars it stands for.
        curve: the tempo.
    """
    edges = [edge for measure, run in zip(system.measures, bars, strict=True) for edge in _parted(measure, len(run))]
    top = system.top - _AIR
    drawn, height = _curve(curve, range(bars[0][0], bars[-1][-1] + 1), curve.piece, edges, top)
    if not drawn:
        return system
    head, _, tail = system.svg.rpartition("</g>")
    return system._replace(svg=f"{head}{drawn}</g>{tail}", top=top - height)


def _parted(measure: etree._Element, count: int) -> list[tuple[float, float]]:
    """Left and right end of each of the bars that a measure stands for, side by side."""
    left, right = staff_edges(measure)
    width = (right - left) / count
    return [(left + number * width, left + (number + 1) * width) for number in range(count)]


def _in_lines(
    marks: Sequence[ScoreMark], bars: range, piece: Piece, edges: Sequence[tuple[float, float]], top: float
) -> tuple[str, float]:
    """Marks side by side on as many lines as they need, the first of them nearest to the music."""
    ends: list[float] = []
    drawn = []
    right = edges[-1][1]
    for mark in marks:
        width = _width(mark)
        x = min(_x(mark.bar, mark.at, bars, piece, edges), right - width)
        line = next((number for number, end in enumerate(ends) if end + _SIZE / 2 <= x), len(ends))
        ends[line:] = [x + width, *ends[line + 1 :]]
        drawn.append(_drawn(mark, x, top - line * _LINE - 0.35 * _SIZE))
    return "".join(drawn), len(ends) * _LINE


def _width(mark: ScoreMark) -> float:
    return mark.mark.width(_SIZE) + (0.8 * _SIZE if mark.boxed else 0.0)


def _drawn(mark: ScoreMark, x: float, y: float) -> str:
    if not mark.boxed:
        return mark.mark.drawn(x, y, _SIZE)
    return (
        f'<rect x="{x:.1f}" y="{y - 0.95 * _SIZE:.1f}" width="{_width(mark):.1f}" height="{1.25 * _SIZE:.1f}" '
        f'fill="black" stroke="none"/><text x="{x + 0.4 * _SIZE:.1f}" y="{y:.1f}" font-family="{HAND}" '
        f'font-size="{_SIZE:.1f}px" fill="white" stroke="none">{escape(mark.mark.text)}</text>'
    )


def _x(bar: int, at: Fraction, bars: range, piece: Piece, edges: Sequence[tuple[float, float]]) -> float:
    """Where a moment stands, in proportion inside its bar."""
    left, right = edges[bar - bars.start]
    if at <= 0:
        return left
    first = min(left + _FIRST_NOTE, right)
    return first + (right - first) * min(1.0, float(at / piece.bars[bar].length))


def _curve(
    curve: Curve, bars: range, piece: Piece, edges: Sequence[tuple[float, float]], bottom: float
) -> tuple[str, float]:
    """The tempo where a shape changes it, dashed, with quarters a minute at both ends and the corner of each run."""
    times = tempo_map(piece, curve.pulse)
    runs = [run for shape in curve.pulse.shapes if (run := _points(shape, bars, piece, edges, times))]
    if not runs:
        return "", 0.0
    tempi = [tempo for run in runs for _, tempo in run]
    low, high = min(tempi), max(tempi)
    base, scale = bottom - _AIR - _SMALL, (_CURVE - _SMALL) / max(1.0, high - low)
    drawn = ""
    for run in runs:
        points = [(x, base - (tempo - low) * scale) for x, tempo in run]
        path = " ".join(f"{'ML'[number > 0]}{x:.0f} {y:.0f}" for number, (x, y) in enumerate(points))
        drawn += f'<path d="{path}" fill="none" stroke="{_GREY}" stroke-width="14" stroke-dasharray="70 45"/>'
        drawn += _figure(run[0][1], points[0], 0.0) + _figure(run[-1][1], points[-1], 1.0)
        drawn += "".join(
            _figure(run[corner][1], points[corner], 0.5) for corner in _corners([tempo for _, tempo in run])
        )
    return drawn, _CURVE + 2 * _AIR + _SMALL


def _corners(tempi: Sequence[float]) -> list[int]:
    """Where a run turns round between its ends, by half a quarter a minute or more."""
    corners = [tempi.index(turn) for turn in (min(tempi), max(tempi))]
    return [corner for corner in corners if min(abs(tempi[corner] - end) for end in (tempi[0], tempi[-1])) >= 0.5]


def _points(
    shape: Shape, bars: range, piece: Piece, edges: Sequence[tuple[float, float]], times: TempoMap
) -> list[tuple[float, float]]:
    """Places and quarters a minute along a shape inside these bars."""
    points = []
    for bar in bars:
        start, length = piece.bars[bar].start, piece.bars[bar].length
        for step in range(8):
            at = length * step / 8
            if shape.start <= start + at < shape.end:
                x = max(_x(bar, at, bars, piece, edges), edges[bar - bars.start][0] + _FIRST_NOTE * (bar == bars[0]))
                points.append((x, times.quarters_per_minute(start + at)))
    return points


def _figure(tempo: float, point: tuple[float, float], share: float) -> str:
    text = f"{tempo:.0f}"
    x = point[0] - share * LETTER * _SMALL * len(text)
    return (
        f'<text x="{x:.0f}" y="{point[1] - 0.3 * _SMALL:.0f}" font-family="{HAND}" font-size="{_SMALL:.0f}px" '
        f'fill="{_GREY}" stroke="none">{text}</text>'
    )

"""One system of a player's part as a picture for the screen, and where in it each moment stands.

The part is the printed one, own staff and cue staff, but bars of rest are not joined: on the screen the beat goes
through them. The ground is transparent, so whoever shows the picture can light what lies behind a beat.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from lxml import etree

from score.memory.fade import Fade
from score.parts.drawn_staves import SVG, UNITS_PER_MM, line_heights, staff_edges
from score.parts.engraver import EngravedSystem
from score.parts.part_notes import EngravedPart
from score.parts.system_drawing import system_svg
from score.printing.typesetting import quoted, to_png

STAFF_MM = 7.0
_SPACE = STAFF_MM * UNITS_PER_MM / 4
"""Between two staff lines, in the engraver's units (hundredths of a millimetre)."""
_NUMBER = 1.3 * _SPACE
"""What half of a bar's number takes, which stands across the left end of the staff."""
_HEAD_MIDDLE, _AIR, _FIRST_NOTE = 0.6 * _SPACE, 0.3 * _SPACE, 1.5 * _SPACE
_PLACE = re.compile(r"translate\((-?[\d.]+)")
_REACHES = re.compile(r'<(?:rect|text|tspan) [^>]*?\bx="(-[\d.]+)"')
"""Boxes and letters that reach out to the left of the staff."""
_SIGNS_BEFORE_NOTES = ("clef", "keySig", "meterSig")


class Request(NamedTuple):
    """What is to be drawn.

    Attributes:
        bars: indices of the piece's bars.
        columns: width, cells of the screen.
        cell: width and height of a cell, pixels.
        staff: height of the five-line staff, pixels.
        ink: colour of everything drawn, "#rrggbb".
        fade: what is left out of the drawing, None for nothing.
    """

    bars: range
    columns: int
    cell: tuple[int, int]
    staff: float
    ink: str
    fade: Fade | None = None


class SystemPicture(NamedTuple):
    """A system as a picture.

    Attributes:
        bars: indices of the piece's bars.
        png: the picture, its ground transparent, exactly `columns` by `rows` cells large.
        columns, rows: cells it fills.
        places: where moments stand: (quarters from the first bar's beginning, pixels from the left), rising; the last
            is the end of the last bar.
        staff: first and last row that the player's own staves reach into, ledger lines not counted.
    """

    bars: range
    png: bytes
    columns: int
    rows: int
    places: tuple[tuple[Fraction, float], ...]
    staff: tuple[int, int]

    def x(self, at: Fraction) -> float:
        """Pixels from the left of a moment, quarters from the first bar's beginning; between notes in proportion."""
        after = bisect_right(self.places, (at, float("inf")))
        if after == 0:
            return self.places[0][1]
        if after == len(self.places):
            return self.places[-1][1]
        (start, left), (end, right) = self.places[after - 1], self.places[after]
        return left + (right - left) * float((at - start) / (end - start))


class _PixelFrame(NamedTuple):
    """How the engraver's units become pixels: x and y of the picture's upper left corner, pixels a unit, rows."""

    left: float
    top: float
    scale: float
    rows: int


def system_picture(notes: EngravedPart, request: Request) -> SystemPicture:
    """Draw one system.

    Args:
        notes: the part that the engraver has read.
        request: which bars, how large, in which colour.

    Raises:
        InbreathError: the engraver can make nothing of the bars.
    """
    width = request.columns * request.cell[0]
    scale = request.staff / (4 * _SPACE)
    system = notes.system(request.bars, (width / scale - _NUMBER - _AIR) / UNITS_PER_MM)
    # Where the bars ask for more, everything is drawn smaller rather than closer.
    left = min([-_NUMBER, *(float(x) - _AIR for x in _REACHES.findall(system.svg))])
    frame = _frame(system, left, min(scale, width / (system.right + _AIR - left)), request.cell[1])
    drawn = notes.faded(system, request.fade) if request.fade else system
    png = _png(_svg(drawn, frame, width, request), width, frame.rows * request.cell[1])
    places = tuple((at, (x - frame.left) * frame.scale) for at, x in _places(system, notes, request.bars))
    tops = [(y - frame.top) * frame.scale / request.cell[1] for y in _staff_lines(system)]
    return SystemPicture(
        request.bars, png, request.columns, rows=frame.rows, places=places, staff=(int(min(tops)), int(max(tops)))
    )


def _frame(system: EngravedSystem, left: float, scale: float, cell_height: int) -> _PixelFrame:
    """The system in the middle of as few rows as it needs."""
    height = system.bottom - system.top + 2 * _AIR
    rows = ceil(height * scale / cell_height)
    spare = rows * cell_height / scale - height
    return _PixelFrame(left, system.top - _AIR - spare / 2, scale, rows=rows)


def _places(system: EngravedSystem, notes: EngravedPart, bars: range) -> Iterator[tuple[Fraction, float]]:
    """Moments and their x, rising in both; quarters from the first bar's beginning."""
    x_of = dict(_heads(system))
    last_at, last_x = Fraction(-1), float("-inf")
    for number, (index, measure) in enumerate(zip(bars, system.measures, strict=True)):
        bar = notes.bars[index]
        start = bar.start - notes.bars[bars[0]].start
        left, right = staff_edges(measure)
        here = {at: x_of[id_] for id_, at in notes.moments(index) if id_ in x_of}
        first = max(_signs_end(measure), left) if number == 0 else left
        for at, x in sorted({Fraction(0): first + _FIRST_NOTE, **here}.items()):
            if start + at > last_at and x > last_x and at < bar.length:
                last_at, last_x = start + at, x
                yield last_at, last_x
        if number == len(bars) - 1:
            yield start + bar.length, max(right, last_x + 1)


def _heads(system: EngravedSystem) -> Iterator[tuple[str, float]]:
    """Middle of every note head and rest, by the id of its note or rest."""
    for measure in system.measures:
        for group in measure.iter(SVG + "g"):
            kind = (group.get("class") or "").split()
            if kind and kind[0] in ("note", "rest"):
                use = next(group.iter(SVG + "use"), None)
                place = _PLACE.search(use.get("transform") or "") if use is not None else None
                if place is not None:
                    yield group.get("id") or "", float(place[1]) + _HEAD_MIDDLE


def _signs_end(measure: etree._Element) -> float:
    """Where the last of clef, key and meter stands, before the first note."""
    xs = [
        float(place[1]) + _SPACE
        for group in measure.iter(SVG + "g")
        if group.get("class") in _SIGNS_BEFORE_NOTES
        for use in group.iter(SVG + "use")
        if (place := _PLACE.search(use.get("transform") or "")) is not None
    ]
    return max(xs, default=float("-inf"))


def _staff_lines(system: EngravedSystem) -> list[float]:
    """Heights of the lines of the player's own staves; the lowest staves of the system are the player's."""
    groups = system.measures[0].iter(SVG + "g")
    staves = [list(line_heights(group)) for group in groups if group.get("class") == "staff"]
    own = [lines for lines in staves if len(lines) > 1] or staves[-1:]
    return [y for lines in own for y in lines] or [system.top, system.bottom]


def _svg(system: EngravedSystem, frame: _PixelFrame, width: int, request: Request) -> str:
    view = (
        f"{frame.left:.1f} {frame.top:.1f} {width / frame.scale:.1f} {frame.rows * request.cell[1] / frame.scale:.1f}"
    )
    return system_svg(system, view, request.ink)


def _png(svg: str, width: int, height: int) -> bytes:
    """The drawing as a picture; a point of the page maker is a pixel."""
    return to_png(
        f"#set page(width: {width}pt, height: {height}pt, margin: 0pt, fill: none)\n"
        f'#image(bytes({quoted(svg)}), format: "svg", width: 100%, height: 100%)'
    )

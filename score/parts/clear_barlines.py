"""Words and barlines: lines make room for words that reach over them, and no word reaches beyond the last line."""

import re
from collections.abc import Iterator
from math import inf
from typing import NamedTuple

from lxml import etree

from score.parts.drawing_tree import drawing_paths, drop, elements
from score.parts.drawn_staves import SVG, UNITS_PER_MM
from score.printing.text_width import text_width

_TEXTS, _LINES = drawing_paths(
    './s:g[@class="measure"]/s:g[starts-with(@class, "dir") or starts-with(@class, "tempo")]/s:text',
    # Most stand beside the staves, those in the middle of a bar among its notes.
    './s:g[@class="measure"]/s:g[@class="barLine"]/s:path'
    '|./s:g[@class="measure"]/s:g[@class="staff"]/s:g[@class="layer"]/s:g[@class="barLine"]/s:path',
)
_UPRIGHT = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L(-?[\d.]+) (-?[\d.]+)")
_UNITS_A_POINT = UNITS_PER_MM * 25.4 / 72
_ASCENT, _DESCENT, _AIR, _SHORTEST = 0.72, 0.24, 45.0, 60.0


class _Area(NamedTuple):
    """Where words stand, in the drawing's units, y downwards."""

    left: float
    right: float
    top: float
    bottom: float


def clear_barlines(system: etree._Element) -> None:
    """Leave out the pieces of a system's barlines that words lie over; pull in words that reach beyond the last."""
    texts = elements(_TEXTS, system)
    if not texts:
        return
    lines = [(line, ends) for line in elements(_LINES, system) if (ends := _UPRIGHT.fullmatch(line.get("d") or ""))]
    last = max((float(ends[1]) for _, ends in lines), default=inf)
    areas = [area for text in texts for area in _pulled_in(text, last)]
    for line, ends in lines:
        if ends[1] == ends[3]:
            _clear(line, float(ends[1]), (float(ends[2]), float(ends[4])), areas)


def _pulled_in(text: etree._Element, last: float) -> list[_Area]:
    """Where words stand; those that begin before a system's last barline and end behind it are moved to the left."""
    areas = list(_areas(text))
    for area in areas:
        beyond = area.right - _AIR - last
        if beyond > 0 and text.get("text-anchor") is None:
            text.set("x", f"{float(text.get('x') or 0) - beyond:.0f}")
            return list(_areas(text))
    return areas


def _areas(text: etree._Element) -> Iterator[_Area]:
    letters = [(str(span.text), _size(span)) for span in text.iter(SVG + "tspan") if (span.text or "").strip()]
    if not letters or text.get("x") is None:
        return
    wide = sum(text_width(word, size / _UNITS_A_POINT) for word, size in letters) * UNITS_PER_MM
    x, y, size = float(text.get("x") or 0), float(text.get("y") or 0), max(size for _, size in letters)
    left = x - wide / 2 if text.get("text-anchor") == "middle" else x
    yield _Area(left - _AIR, left + wide + _AIR, y - _ASCENT * size - _AIR, bottom=y + _DESCENT * size + _AIR)


def _size(span: etree._Element) -> float:
    return float((span.get("font-size") or "0px").removesuffix("px"))


def _clear(line: etree._Element, x: float, ends: tuple[float, float], areas: list[_Area]) -> None:
    pieces = [(min(ends), max(ends))]
    for area in areas:
        if area.left < x < area.right:
            above = [(top, min(bottom, area.top)) for top, bottom in pieces]
            below = [(max(top, area.bottom), bottom) for top, bottom in pieces]
            pieces = sorted((top, bottom) for top, bottom in (*above, *below) if bottom - top > _SHORTEST)
    if pieces == [(min(ends), max(ends))]:
        return
    for top, bottom in pieces:
        piece = etree.Element(SVG + "path", {str(name): str(value) for name, value in line.attrib.items()})
        piece.set("d", f"M{x:.0f} {top:.0f} L{x:.0f} {bottom:.0f}")
        line.addprevious(piece)
    drop(line)

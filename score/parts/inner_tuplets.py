"""Brackets of tuplets inside others: the engraver sets them upon the notes or the staff, they are moved off."""

import re
from collections.abc import Sequence
from copy import deepcopy
from math import ceil

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, around, drawn_boxes
from score.parts.drawn_moves import move
from score.parts.drawn_staves import SVG, coordinates, line_heights
from score.printing.fonts import MUSIC

INNER = "inner-tuplet"
"""Type of a tuplet inside another."""
_INNER, _OWN, _BRACKET, _STAFF = drawing_paths(
    f'.//s:g[contains(@class, "{INNER}")]',
    './s:g[contains(@class, "tupletNum") or contains(@class, "tupletBracket")]',
    './s:g[contains(@class, "tupletBracket")]',
    'ancestor::s:g[contains(concat(" ", @class, " "), " staff ")][1]',
)
_FIGURES, _PLACED = re.compile(r"figures-([\d-]+)"), re.compile(r"translate\([^,]*, ([^)]*)\) scale\(([^,]*),")
_ZERO, _COLON = 0xE880, "\ue88a"
"""SMuFL's tuplet0 and tupletColon."""
_AIR, _GAP = 60, 40
"""Between a bracket and what it stands over, and beside its figures, in the engraver's units."""


def figures_type(figures: Sequence[str]) -> str:
    """The type that an inner tuplet asks for its figures by: one, or two with a colon between."""
    return f"figures-{'-'.join(figures)}"


def clear_inner_tuplets(system: etree._Element) -> None:
    """Draw the figures of inner tuplets; move these and brackets off notes and out of the staff, innermost first."""
    for tuplet in reversed(elements(_INNER, system)):
        _draw_figures(tuplet)
        own, staves = elements(_OWN, tuplet), elements(_STAFF, tuplet)
        heights = [height for staff in staves for height in line_heights(staff)]
        notes = [box for each in tuplet.iterchildren(SVG + "g") if each not in own for box in drawn_boxes(each)]
        signs = [box for each in own for box in drawn_boxes(each)]
        if not signs or not notes:
            continue
        held, bracket = around(notes), around(signs)
        above = min([held.top, *heights]) - _AIR - bracket.bottom
        below = max([held.bottom, *heights]) + _AIR - bracket.top
        is_above = bracket.top + bracket.bottom < held.top + held.bottom
        by = min(0.0, above) if is_above else max(0.0, below)
        for each in own if by else ():
            move(each, ceil(by) if by > 0 else -ceil(-by))


def _open_bracket(bracket: etree._Element, figures: DrawnBox) -> None:
    """Cut a bracket that goes through its figures in two."""
    for line in bracket.findall(SVG + "polyline"):
        points = coordinates(line.get("points") or "")
        if len(points) == 8 and points[2] < figures.left - _GAP and figures.right + _GAP < points[4]:
            other = deepcopy(line)
            ends = (*points[:4], figures.left - _GAP, points[3]), (figures.right + _GAP, points[5], *points[4:])
            for half, numbers in zip((line, other), ends, strict=True):
                half.set(
                    "points", " ".join(f"{x:.0f},{y:.0f}" for x, y in zip(numbers[::2], numbers[1::2], strict=True))
                )
            line.addnext(other)


def _draw_figures(tuplet: etree._Element) -> None:
    """Put the figures that are asked for in the place of those that the engraver counts by."""
    asked = _FIGURES.search(tuplet.get("class") or "")
    for group in tuplet.iterchildren(SVG + "g"):
        signs = group.findall(SVG + "use") if "tupletNum" in (group.get("class") or "") else []
        placed = _PLACED.search(signs[0].get("transform") or "") if signs else None
        if asked is None or placed is None:
            continue
        box = around(drawn_boxes(group))
        for sign in signs:
            group.remove(sign)
        # A sign of the font as a letter, for the page may have no drawing of this figure.
        text = etree.SubElement(group, SVG + "text", {"x": f"{(box.left + box.right) / 2:.0f}", "y": placed[1]})
        text.set("text-anchor", "middle")
        text.set("font-size", "0px")
        letters = etree.SubElement(
            text, SVG + "tspan", {"font-family": MUSIC, "font-size": f"{1000 * float(placed[2]):.0f}px"}
        )
        letters.text = _COLON.join(
            "".join(chr(_ZERO + int(figure)) for figure in number) for number in asked[1].split("-")
        )
        for bracket in elements(_BRACKET, tuplet):
            _open_bracket(bracket, around(drawn_boxes(group)))

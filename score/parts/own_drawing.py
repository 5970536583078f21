"""What the engraver does not draw, drawn into its SVG: heads that its font lacks, ties that lead out of a cue.

Pluses of additive meters, which the engraver sets hard against their digits, are made smaller.

Notes tell by their type in the document (`class` in the drawing) what they ask for. Lengths are staff spaces until they
are drawn; heads are as wide as an ordinary one, and reach to where the engraver ends the stem.
"""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from math import cos, pi, sin

from lxml import etree

from score.parts.drawing_tree import drawing_paths, drop, elements
from score.parts.drawn_staves import HREF, SVG, staff_edges
from score.parts.inner_tuplets import INNER, clear_inner_tuplets
from score.parts.sticking_room import STICKING

OWN_HEAD, OWN_TIE, OWN_DASH = "own-head", "own-tie", "own-dash"
HELD_IN, HELD_ON = "held-in", "held-on"
"""Types of a cue's first note that was struck before, and of its last that sounds on."""

_PLACE = re.compile(r"translate\(([-\d.]+), ([-\d.]+)\) scale\(([\d.]+)")
_BLACK = "E0A4"
_WIDTH, _LINE = 1.18, 0.13
_TIE_LONG, _TIE_DEEP, _TIE_THICK, _TIE_BELOW = 1.5, 0.42, 0.16, 0.75
_Points = Sequence[tuple[float, float]]


def _arc(level: float, high: float) -> _Points:
    """Half a round as corners, as wide as a head."""
    angles = [pi * step / 8 for step in range(9)]
    return tuple((_WIDTH / 2 * (1 - cos(angle)), level + high * sin(angle)) for angle in angles)


# Corners from the head's left edge and middle, x to the right and y downwards; a line up or down to where a stem ends.
_HEADS: Mapping[str, _Points] = {
    "triangle": ((0, 0.5), (_WIDTH, 0.5), (_WIDTH / 2, -0.6)),
    "inverted-triangle": ((0, -0.5), (_WIDTH, -0.5), (_WIDTH / 2, 0.6)),
    "left-triangle": ((0, 0), (_WIDTH, -0.55), (_WIDTH, 0.55)),
    "arrow-up": ((0, 0.55), (_WIDTH / 2, -0.65), (_WIDTH, 0.55), (_WIDTH / 2, 0.15)),
    "arrow-down": ((0, -0.55), (_WIDTH / 2, 0.65), (_WIDTH, -0.55), (_WIDTH / 2, -0.15)),
    "rectangle": ((0, -0.45), (_WIDTH, -0.45), (_WIDTH, 0.45), (0, 0.45)),
    # Of the seven shapes (from memory): a bowl, a cone with a round top, triangles whose upright side is at the stem.
    "bowl": _arc(-0.3, 0.8),
    "cone": (*_arc(-0.15, -0.5), (_WIDTH / 2, 0.6)),
    "flag": ((0, -0.5), (_WIDTH, -0.5), (0, 0.55)),
    "flag-up": ((_WIDTH, 0.5), (0, 0.5), (_WIDTH, -0.55)),
}
_CIRCLES: Mapping[str, float] = {"circled": 0.92, "circle-dot": 0.55}
"""Radius of a circle: around the head, or in its place with a dot in it."""
_DOT = 0.16
SHAPES = frozenset({*_HEADS, *_CIRCLES})
"""Names of the heads that are drawn here."""
_PLUS, _PLUS_WIDTHS = 0.72, {"E08C": 342, "E08D": 253}
"""Size of a plus between the digits of a meter, of what the engraver makes it; how wide the font has each."""
_ASKING, _DASHED, _MEASURES, _PLUSES = drawing_paths(
    './/s:g[starts-with(@class, "note ")][contains(@class, "head-") or contains(@class, "held-")]',
    './/s:g[contains(@class, "dashes-")]',
    './s:g[@class="measure"]',
    # A meter stands in its staff, one that changes in the middle of a bar among the notes.
    './s:g[@class="measure"]/s:g[starts-with(@class, "staff")]/s:g[starts-with(@class, "meterSig")]//s:use'
    '|./s:g[@class="measure"]/s:g[starts-with(@class, "staff")]/s:g[starts-with(@class, "layer")]'
    '/s:g[starts-with(@class, "meterSig")]//s:use',
)
_TO = re.compile(r"dashes-(\d+)-(\d+)")
_DASH, _GAP, _LETTER = 130, 260, 0.5


def head_type(shape: str) -> str:
    """The type that a note asks for one of `SHAPES` by."""
    return f"head-{shape}"


def dashes_type(bars: int, percent: int) -> str:
    """The type that words ask for dashes by, as far as so many per cent of a bar so many bars on."""
    return f"dashes-{bars}-{percent}"


def has_dashes(types: str) -> bool:
    """Whether these types ask for dashes."""
    return _TO.search(types) is not None


def own_signs_asked(page: str) -> frozenset[str]:
    """What may be asked for in a drawing: what is nowhere in its text need not be looked for in its tree."""
    return frozenset(name for name in (*_PLUS_WIDTHS, "dashes-", "head-", "held-", INNER, STICKING) if name in page)


def draw_own_signs(system: etree._Element, asked: Collection[str]) -> None:
    """Draw what the notes and words of a system ask for, of what may be asked for in its page."""
    for sign in elements(_PLUSES, system) if not _PLUS_WIDTHS.keys().isdisjoint(asked) else ():
        _make_room(sign)
    for words in elements(_DASHED, system) if "dashes-" in asked else ():
        _draw_dashes(words, system)
    for note in elements(_ASKING, system) if "head-" in asked or "held-" in asked else ():
        _draw_on(note)
    if INNER in asked:
        clear_inner_tuplets(system)


def _draw_on(note: etree._Element) -> None:
    """Draw what a note asks for."""
    types = (note.get("class") or "").split()
    for head in _heads(note):
        x, y, scale, code = _placed(head)
        space = scale * 250
        for name in types:
            if name.startswith("head-"):
                _draw_shape(head, name.removeprefix("head-"), (x, y, space), code == _BLACK)
        if HELD_IN in types:
            _draw_tie(note, x - _TIE_LONG * space, x - 0.1 * space, y, space)
        if HELD_ON in types:
            _draw_tie(note, x + (_WIDTH + 0.1) * space, x + (_WIDTH + 0.1 + _TIE_LONG) * space, y, space)


def _make_room(sign: etree._Element) -> None:
    """Make a plus between digits smaller, about its middle."""
    place, code = _PLACE.search(sign.get("transform") or ""), (sign.get(HREF) or "")[1:5]
    if place is not None and code in _PLUS_WIDTHS:
        x, y, scale = (float(number) for number in place.groups())
        x += (1 - _PLUS) / 2 * _PLUS_WIDTHS[code] * scale
        sign.set("transform", f"translate({x:.0f}, {y:.0f}) scale({_PLUS * scale:.4f}, {_PLUS * scale:.4f})")


def _heads(note: etree._Element) -> Iterator[etree._Element]:
    for group in note.iterchildren(SVG + "g"):
        if group.get("class") == "notehead":
            yield from list(group.iterchildren(SVG + "use"))[:1]


def _placed(head: etree._Element) -> tuple[float, float, float, str]:
    """Left edge and middle in the drawing's units, its scale, and the code of the sign that stands there."""
    place = _PLACE.search(head.get("transform") or "")
    numbers = [float(number) for number in place.groups()] if place else [0.0, 0.0, 0.0]
    return numbers[0], numbers[1], numbers[2], (head.get(HREF) or "")[1:5]


def _draw_shape(head: etree._Element, shape: str, place: tuple[float, float, float], filled: bool) -> None:
    left, middle, space = place
    radius = _CIRCLES.get(shape)
    if radius is None:
        _draw_head(head, _HEADS[shape], place, filled)
        return
    across = left + _WIDTH / 2 * space
    _draw_round(head, (across, middle), radius * space, _LINE * space)
    if shape != "circled":
        _draw_round(head, (across, middle), _DOT * space, 0)
        drop(head)


def _draw_round(head: etree._Element, middle: tuple[float, float], radius: float, line: float) -> None:
    """A circle beside the head's own sign, a dot where it has no line."""
    x, y = (f"{each:.0f}" for each in middle)
    circle = etree.Element(SVG + "ellipse", {"class": OWN_HEAD, "cx": x, "cy": y})
    circle.set("rx", f"{radius:.0f}")
    circle.set("ry", f"{radius:.0f}")
    if line:
        circle.set("fill", "none")
        circle.set("stroke-width", f"{line:.0f}")
    head.addnext(circle)


def _draw_head(head: etree._Element, corners: _Points, place: tuple[float, float, float], filled: bool) -> None:
    left, middle, space = place
    points = [(left + x * space, middle + y * space) for x, y in corners]
    line = " L".join(f"{x:.0f} {y:.0f}" for x, y in points)
    path = etree.Element(SVG + "path", {"class": OWN_HEAD, "d": f"M{line} Z"})
    path.set("stroke-width", f"{_LINE * space:.0f}")
    path.set("stroke-linejoin", "round")
    if not filled:
        path.set("fill", "none")
    parent = head.getparent()
    if parent is not None:
        parent.replace(head, path)


def _draw_tie(note: etree._Element, left: float, right: float, middle: float, space: float) -> None:
    """A tie to or from nowhere, below the head, for stems in a cue go up."""
    y, third = middle + _TIE_BELOW * space, (right - left) / 3
    outer, inner = y + _TIE_DEEP * space, y + (_TIE_DEEP - _TIE_THICK) * space
    curve = (
        f"M{left:.0f} {y:.0f} C{left + third:.0f} {outer:.0f} {right - third:.0f} {outer:.0f} {right:.0f} {y:.0f} "
        f"C{right - third:.0f} {inner:.0f} {left + third:.0f} {inner:.0f} {left:.0f} {y:.0f} Z"
    )
    etree.SubElement(note, SVG + "path", {"class": OWN_TIE, "d": curve, "stroke-width": f"{0.05 * space:.0f}"})


def _draw_dashes(words: etree._Element, system: etree._Element) -> None:
    """Dashes from words to where they end; those of the engraver's stand so far apart that they say little."""
    measures = elements(_MEASURES, system)
    ask = _TO.search(words.get("class") or "")
    text = words.find(SVG + "text")
    home = words.getparent()
    if ask is None or text is None or home not in measures:
        return
    size = max((float(span.get("font-size", "0")[:-2]) for span in text.iter(SVG + "tspan") if span.text), default=0.0)
    letters = len("".join(map(str, text.itertext())).strip())
    left = float(text.get("x") or 0) + (letters + 1) * _LETTER * size
    right = _reached(measures, measures.index(home) + int(ask[1]), int(ask[2]))
    right = max(right, left + _DASH)  # one at the least: the line may go on in the next system
    y = float(text.get("y") or 0) - 0.1 * size
    for old in words.findall(SVG + "rect"):
        words.remove(old)
    while left + _DASH <= right:
        dash = {"class": OWN_DASH, "x": f"{left:.0f}", "y": f"{y:.0f}", "height": "21", "width": str(_DASH)}
        etree.SubElement(words, SVG + "rect", dash)
        left += _DASH + _GAP


def _reached(measures: Sequence[etree._Element], position: int, percent: int) -> float:
    """The x of a place in a measure of a system; its right end where it stands in another."""
    left, right = staff_edges(measures[min(position, len(measures) - 1)])
    return right if position >= len(measures) else left + (right - left) * percent / 100 - _GAP

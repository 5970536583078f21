"""Where everything stands that the engraver has drawn: boxes of its glyphs, lines and texts, read from its SVG."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from lxml import etree

from score.parts.drawn_staves import HREF, SVG, UNITS_PER_MM, coordinates
from score.printing.music_font import private_letters, sign_boxes
from score.printing.text_width import text_width

_PLACED = re.compile(r"translate\(([^,]*), ([^)]*)\) scale\(([^,]*), ([^)]*)\)")
_POINTS_A_MM = 72 / 25.4
# Of a letter's size.
_ABOVE, _BELOW = 0.74, 0.24


class DrawnBox(NamedTuple):
    """A rectangle in the engraver's units, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def near(self, other: "DrawnBox", air: float) -> bool:
        """The two overlap, or stand closer than this."""
        across = self.left < other.right + air and self.right > other.left - air
        return across and self.top < other.bottom + air and self.bottom > other.top - air


def drawn_boxes(group: etree._Element) -> list[DrawnBox]:
    """The box of every glyph, line and text in a group."""
    # To look for what stands in an element that holds nothing takes longer than to box it.
    drawn = group.iter(*_BOXES) if len(group) else (group,) if group.tag in _BOXES else ()
    return [box for element in drawn for box in _BOXES[element.tag](element)]


def around(boxes: Sequence[DrawnBox]) -> DrawnBox:
    """The box of all of these."""
    return DrawnBox(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        bottom=max(box.bottom for box in boxes),
    )


def _line(element: etree._Element) -> Iterator[DrawnBox]:
    numbers = coordinates(element.get("d") or element.get("points") or "")
    if numbers:
        xs, ys = numbers[::2], numbers[1::2]
        yield DrawnBox(min(xs), min(ys), max(xs), bottom=max(ys))


def _rectangle(element: etree._Element) -> Iterator[DrawnBox]:
    x, y, width, height = (float(element.get(name) or 0) for name in ("x", "y", "width", "height"))
    yield DrawnBox(x, y, x + width, bottom=y + height)


def _dot(element: etree._Element) -> Iterator[DrawnBox]:
    x, y, across, down = (float(element.get(name) or 0) for name in ("cx", "cy", "rx", "ry"))
    yield DrawnBox(x - across, y - down, x + across, bottom=y + down)


def _glyph(element: etree._Element) -> Iterator[DrawnBox]:
    placed = _PLACED.match(element.get("transform") or "")
    glyph = sign_boxes().get((element.get(HREF) or element.get("href") or "")[1:].partition("-")[0])
    if placed and glyph:
        x, y, across, down = map(float, placed.groups())
        left, low, width, height = glyph
        yield DrawnBox(x + across * left, y - down * (low + height), x + across * (left + width), bottom=y - down * low)


def _letters(text: etree._Element) -> Iterator[DrawnBox]:
    """The parts of a text one after another; each stands at the x and y that it or one before it names."""
    x = y = size = 0.0
    anchor = "start"
    for part in text.iter():
        x, y = float(part.get("x") or x), float(part.get("y") or y)
        anchor = part.get("text-anchor") or anchor
        size = float((part.get("font-size") or f"{size}px").removesuffix("px")) or size
        letters = part.text or ""
        if letters.strip():
            width = _width(letters, size)
            left = x - {"middle": width / 2, "end": width}.get(anchor, 0.0)
            yield DrawnBox(left, y - _ABOVE * size, left + width, bottom=y + _BELOW * size)
            x = left + width


def _width(letters: str, size: float) -> float:
    signs = private_letters(letters)
    plain = "".join(letter for letter in letters if letter not in signs)
    across = sum(sum(sign_boxes().get(f"{ord(sign):X}", (0.0, 0.0, 1000.0, 0.0))[::2]) for sign in signs) * size / 1000
    return across + text_width(plain, size / UNITS_PER_MM * _POINTS_A_MM) * UNITS_PER_MM


_BOXES: Mapping[str, Callable[[etree._Element], Iterator[DrawnBox]]] = {
    SVG + "use": _glyph,
    SVG + "path": _line,
    SVG + "polygon": _line,
    SVG + "polyline": _line,
    SVG + "rect": _rectangle,
    SVG + "ellipse": _dot,
    SVG + "text": _letters,
}

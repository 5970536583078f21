"""What the engraver has drawn moved up or down: its coordinates are written anew, for whatever measures them later."""

import re
from math import inf

from lxml import etree

from score.parts.drawn_staves import NUMBER, SVG


def move(group: etree._Element, by: float) -> None:
    """Move everything in a group down, or up by less than nothing.

    Args:
        group: of the drawing.
        by: in its units.
    """
    for element in group.iter():
        name = str(element.tag).removeprefix(SVG)
        if name == "use":
            place = element.get("transform") or ""
            x, y = NUMBER.findall(place)[:2]
            element.set("transform", place.replace(f"{x}, {y})", f"{x}, {float(y) + by:.0f})", 1))
        elif name in ("text", "tspan", "rect", "ellipse"):
            key = "cy" if name == "ellipse" else "y"
            if (value := element.get(key)) is not None:
                element.set(key, f"{float(value) + by:.0f}")
        elif name in ("path", "polygon", "polyline"):
            key = "d" if name == "path" else "points"
            element.set(key, moved_points(element.get(key) or "", by))


def shift(words: etree._Element, by: float) -> None:
    """Move words to the right, or to the left by less than nothing.

    Args:
        words: a group of the drawing that holds nothing but text and the boxes around it.
        by: in its units.
    """
    for element in words.iter():
        if (value := element.get("x")) is not None:
            element.set("x", f"{float(value) + by:.0f}")


def moved_points(text: str, by: float, limit: float = inf) -> str:
    """A list of points, x and y in turn, with those above a limit moved down, or up by less than nothing."""
    count = 0

    def moved(number: re.Match[str]) -> str:
        nonlocal count
        count += 1
        y = float(number[0])
        return f"{y + by:.0f}" if count % 2 == 0 and y <= limit else number[0]

    return NUMBER.sub(moved, text)

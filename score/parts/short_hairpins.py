"""Hairpins long enough to be seen: over the end of a held note in a narrow bar the engraver makes a dot of them."""

from collections.abc import Iterable, Sequence

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_staves import SVG, coordinates, line_heights, staff_edges

_HAIRPINS, _LINES = drawing_paths('./s:g[@class="measure"]/s:g[starts-with(@class, "hairpin")]', "./s:polyline")
# In the drawing's units: the shortest to be seen, how long one is drawn, half of how wide it opens, what it keeps off.
_SHORTEST, _LENGTH, _HALF, _AIR = 300.0, 420.0, 90.0, 40.0


def lengthen_hairpins(system: etree._Element) -> None:
    """Begin an engraved system's hairpins earlier where they are too short to be seen and there is room."""
    for hairpin in elements(_HAIRPINS, system):
        lines = elements(_LINES, hairpin)
        numbers = coordinates(lines[0].get("points") or "") if len(lines) == 1 else []
        measure = hairpin.getparent()
        if len(numbers) == 6 and measure is not None and max(numbers[::2]) - min(numbers[::2]) < _SHORTEST:
            _lengthen(lines[0], numbers, measure)


def _lengthen(line: etree._Element, numbers: Sequence[float], measure: etree._Element) -> None:
    """Draw a hairpin anew whose open end is named first and last, its closed end between them."""
    left, right, middle = min(numbers[::2]), max(numbers[::2]), numbers[3]
    beside = [box for box in _boxes(measure, line) if box.left < left and box.right > right - _LENGTH - _AIR]
    levels = [middle, *_levels(beside, middle, is_below=middle > _staff_middle(measure, middle))]
    places = [(_start(beside, left, right, level), level) for level in levels]
    start, middle = next((place for place in places if right - place[0] >= _SHORTEST), places[0])
    start = max(start, min(left, staff_edges(measure)[0] + _AIR))
    is_closing = numbers[2] > numbers[0]
    opened, closed = (start, right) if is_closing else (right, start)
    corners = ((opened, middle + _HALF), (closed, middle), (opened, middle - _HALF))
    line.set("points", " ".join(f"{x:.0f},{y:.0f}" for x, y in corners))


def _start(beside: Iterable[DrawnBox], left: float, right: float, middle: float) -> float:
    """How far to the left a hairpin can begin at this height, beginning not later than it does."""
    around = DrawnBox(right - _LENGTH, middle - _HALF, right, bottom=middle + _HALF)
    ends = (box.right + _AIR for box in beside if box.near(around, _AIR))
    return min(left, max([right - _LENGTH, *ends]))


def _levels(beside: Iterable[DrawnBox], middle: float, *, is_below: bool) -> list[float]:
    """Heights further from the staff at which a hairpin is clear of something that is in its way, the nearest first."""
    if is_below:
        return sorted(level for box in beside if (level := box.bottom + _AIR + _HALF) > middle)
    return sorted((level for box in beside if (level := box.top - _AIR - _HALF) < middle), reverse=True)


def _staff_middle(measure: etree._Element, height: float) -> float:
    """The middle of the staff that is nearest to a height."""
    staves = [list(line_heights(group)) for group in measure.iterchildren(SVG + "g") if group.get("class") == "staff"]
    middles = [(min(lines) + max(lines)) / 2 for lines in staves if lines]
    return min(middles, key=lambda middle: abs(middle - height), default=height)


def _boxes(measure: etree._Element, line: etree._Element) -> list[DrawnBox]:
    """What stands in a measure beside a hairpin's line, the lines of its staves left out."""
    groups = (group for group in measure.iterchildren(SVG + "g") if group is not line.getparent())
    return [box for group in groups for part in _parts(group) for box in drawn_boxes(part)]


def _parts(group: etree._Element) -> Sequence[etree._Element]:
    return list(group.iterchildren(SVG + "g")) if group.get("class") == "staff" else [group]

"""Room for suggested stickings and trills: the engraver sets letters upon stems, and trills under slurs upon these."""

from collections.abc import Sequence
from math import ceil

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, around, drawn_boxes
from score.parts.drawn_moves import move, shift
from score.parts.drawn_staves import coordinates, slur_points

STICKING = "sticking"
"""Type of a suggested sticking's word."""
ORNAMENTS = frozenset({"trill", "mordent", "turn"})
"""What the drawing calls the signs that are cleared of slurs."""
_STICKINGS, _INK, _TRILLS, _SLURS = drawing_paths(
    f'./s:g[@class="measure"]/s:g[contains(@class, "{STICKING}")]',
    './s:g[@class="staff"]//s:g[@class="stem" or @class="flag" or @class="notehead" or @class="artic"'
    ' or @class="rest"]',
    './s:g[@class="measure"]/s:g[@class="trill" or @class="mordent" or @class="turn"]',
    './s:g[@class="measure"]/s:g[starts-with(@class, "slur")]/s:path|./s:g[starts-with(@class, "slur")]/s:path',
)
# In the drawing's units: between a letter and what it stands beside, how far it goes to the left of its note for that.
_AIR, _FURTHEST, _TRILL_AIR = 25.0, 220.0, 40.0


def clear_stickings(system: etree._Element) -> None:
    """Move an engraved system's suggested stickings off the stems that they lie upon: to the left, or up."""
    ink: dict[etree._Element, list[DrawnBox]] = {}
    for words in elements(_STICKINGS, system):
        measure = words.getparent()
        if measure is None or not len(words):
            continue
        if measure not in ink:
            ink[measure] = [box for group in elements(_INK, measure) for box in drawn_boxes(group)]
        _clear(words, around(drawn_boxes(words)), ink[measure])


def _clear(words: etree._Element, letters: DrawnBox, ink: Sequence[DrawnBox]) -> None:
    beside = [box for box in ink if box.near(letters, _AIR)]
    if not beside:
        return
    to_left = letters.right + _AIR - min(box.left for box in beside)
    moved = letters._replace(left=letters.left - to_left, right=letters.right - to_left)
    if 0 < to_left <= _FURTHEST and not any(box.near(moved, _AIR - 1) for box in ink):
        shift(words, -ceil(to_left))
    else:
        move(words, -ceil(letters.bottom + _AIR - min(box.top for box in beside)))


def clear_trills(system: etree._Element) -> None:
    """Move an engraved system's trills, mordents and turns up from slurs that go through them."""
    trills = elements(_TRILLS, system)
    slurs = [coordinates(path.get("d") or "")[:8] for path in elements(_SLURS, system)] if trills else []
    for trill in trills:
        sign = around(drawn_boxes(trill)) if len(trill) else None
        if sign is not None and (by := max((_up(sign, numbers) for numbers in slurs), default=0.0)) > 0:
            move(trill, -ceil(by))


def _up(sign: DrawnBox, numbers: Sequence[float]) -> float:
    """How far up a sign must go to be clear of a slur that goes through it, whose drawing has these numbers."""
    left, right, xs, ys = sign.left - _TRILL_AIR, sign.right + _TRILL_AIR, numbers[::2], numbers[1::2]
    # A curve stays between the points that its drawing names.
    if len(numbers) < 8 or max(xs) < left or min(xs) > right or max(ys) < sign.top or min(ys) > sign.bottom:
        return 0.0
    inside = [y for x, y in slur_points(numbers, 40) if left < x < right]
    if not inside or max(inside) < sign.top or min(inside) > sign.bottom:
        return 0.0
    return sign.bottom + _TRILL_AIR - min(inside)

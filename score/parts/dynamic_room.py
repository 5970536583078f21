"""Room for dynamics below the staff: the engraver sets them where ties and accents hang down from low notes.

It also sets them a third of a millimetre below the staff or the lowest head of a chord, which reads as touching.
"""

from collections.abc import Iterable, Sequence
from math import ceil

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, around, drawn_boxes
from score.parts.drawn_moves import move

_AIR, _LEVEL = 70.0, 120.0
"""Between a dynamic and what hangs above it; how far the middles of two signs on one line differ at the most."""
_MEASURES, _DYNAMICS, _HAIRPINS, _HANGING = drawing_paths(
    './s:g[@class="measure"][s:g[starts-with(@class, "dynam")]]',
    './s:g[starts-with(@class, "dynam")]',
    './s:g[starts-with(@class, "hairpin")]',
    './s:g[starts-with(@class, "lv") or starts-with(@class, "tie")]/s:path|./s:g[@class="staff"]/s:path'
    '|./s:g[starts-with(@class, "staff")]//s:g[@class="notehead" or @class="artic"]/s:use',
)


def clear_dynamics(system: etree._Element) -> None:
    """Move an engraved system's dynamics down from what they lie upon, and hairpins beside them along."""
    for measure in elements(_MEASURES, system):
        hanging = [box for sign in elements(_HANGING, measure) for box in drawn_boxes(sign)]
        for dynamic in elements(_DYNAMICS, measure) if hanging else ():
            boxes = drawn_boxes(dynamic)
            by = max((_down(box, hanging) for box in boxes), default=0.0)
            if by > 0:
                level = _middle(boxes)
                for sign in (dynamic, *_on_the_line(elements(_HAIRPINS, measure), level)):
                    move(sign, ceil(by))


def _down(box: DrawnBox, hanging: Iterable[DrawnBox]) -> float:
    """How far down a box must go to be clear of what hangs from above into it."""
    near = (sign for sign in hanging if sign.top < box.top and sign.bottom < box.bottom and box.near(sign, _AIR))
    return max((sign.bottom + _AIR - box.top for sign in near), default=0.0)


def _middle(boxes: Sequence[DrawnBox]) -> float:
    box = around(boxes)
    return (box.top + box.bottom) / 2


def _on_the_line(hairpins: Iterable[etree._Element], level: float) -> list[etree._Element]:
    return [sign for sign in hairpins if (boxes := drawn_boxes(sign)) and abs(_middle(boxes) - level) < _LEVEL]

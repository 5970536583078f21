"""Open ties long enough to be seen: over a long note in a narrow bar the engraver makes a dot of them."""

from collections.abc import Sequence

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_staves import coordinates

_MEASURES, _OPEN, _HEADS = drawing_paths(
    './s:g[@class="measure"][s:g[starts-with(@class, "lv")]]',
    './s:g[starts-with(@class, "lv")]/s:path',
    './/s:g[@class="notehead"]/s:use',
)
# In staff spaces, of which a notehead is as high as one.
_SHORTEST, _LENGTH, _LEAST = 1.3, 1.8, 0.7
"""A tie that is long enough; how long one is drawn; what the next head must leave for one."""
_NEXT = 2.5
"""A head that stands no higher or lower than this limits a tie."""
_BESIDE, _START, _DEEP, _THICK = 0.12, 0.7, 0.42, 0.16
"""Over its own head, and off the next; from the head's middle to the tie's ends; how deep it is, and how thick."""


def lengthen_open_ties(system: etree._Element) -> None:
    """Draw an engraved system's open ties anew where they are too short to be seen and there is room."""
    for measure in elements(_MEASURES, system):
        heads = [box for head in elements(_HEADS, measure) for box in drawn_boxes(head)]
        for path in elements(_OPEN, measure) if heads else ():
            numbers = coordinates(path.get("d") or "")
            if len(numbers) >= 8:
                _lengthen(path, numbers, heads)


def _lengthen(path: etree._Element, numbers: Sequence[float], heads: Sequence[DrawnBox]) -> None:
    x, y, is_over = numbers[0], numbers[1], numbers[3] < numbers[1]
    head = min(heads, key=lambda box: abs(_middle(box)[0] - x) + abs(_middle(box)[1] - y))
    space = head.bottom - head.top
    if numbers[6] - x >= _SHORTEST * space:
        return
    left = head.right - _BESIDE * space
    beside = [box.left for box in heads if box.left > head.right and abs(_middle(box)[1] - y) < _NEXT * space]
    following = min(beside, default=left + 2 * _LENGTH * space)
    right = min(left + _LENGTH * space, following - _BESIDE * space)
    if right - left < max(_LEAST * space, numbers[6] - x):
        return
    way = -1 if is_over else 1
    level, third = _middle(head)[1] + way * _START * space, (right - left) / 3
    outer, inner = level + way * _DEEP * space, level + way * (_DEEP - _THICK) * space
    path.set(
        "d",
        f"M{left:.0f},{level:.0f} C{left + third:.0f},{outer:.0f} {right - third:.0f},{outer:.0f} "
        f"{right:.0f},{level:.0f} C{right - third:.0f},{inner:.0f} {left + third:.0f},{inner:.0f} "
        f"{left:.0f},{level:.0f}",
    )


def _middle(box: DrawnBox) -> tuple[float, float]:
    return (box.left + box.right) / 2, (box.top + box.bottom) / 2

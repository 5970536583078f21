"""Room for words: off the figures of tuplets, which the engraver sets them close to, and apart from other words."""

from collections.abc import Iterable, Sequence
from math import ceil

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements
from score.parts.drawn_boxes import DrawnBox, around, drawn_boxes
from score.parts.drawn_moves import move, shift

FIGURE = "tupletNum"
"""What the drawing calls the figure of a tuplet."""
_FIGURES, _WORDS = drawing_paths(
    f'.//s:g[@class="{FIGURE}"]',
    './s:g[@class="measure"]/s:g[starts-with(@class, "dir") or starts-with(@class, "tempo")'
    ' or starts-with(@class, "reh")]',
)
# In the drawing's units: above and below a figure, from word to word, how far a word goes for that, a line's height.
_AIR, _BLANK, _FURTHEST, _LINE = 60.0, 130.0, 260.0, 200.0
_MOST_STEPS = 6


def clear_words(system: etree._Element, has_figures: bool) -> None:
    """Move an engraved system's words off figures of tuplets, where it may have any, and apart from each other."""
    words = [(around(boxes), group) for group in elements(_WORDS, system) if (boxes := drawn_boxes(group))]
    words = _apart(sorted(words, key=lambda each: each[0]))
    obstacles = (
        [box for figure in elements(_FIGURES, system) for box in drawn_boxes(figure)] if words and has_figures else []
    )
    # The lowest first: what stands over it gives way to it.
    for box, group in sorted(words, key=lambda each: -each[0].bottom) if obstacles else ():
        clear = _clear(box, obstacles)
        if clear != box:
            move(group, clear.top - box.top)
            obstacles.append(clear)


def _apart(words: Sequence[tuple[DrawnBox, etree._Element]]) -> list[tuple[DrawnBox, etree._Element]]:
    """Words, from left to right, with a blank between those that stand on one line."""
    lines: dict[int, list[tuple[DrawnBox, etree._Element]]] = {}
    for box, group in words:
        line = next((line for bottom, line in lines.items() if abs(bottom - box.bottom) < _LINE), None)
        if line is None:
            line = lines.setdefault(round(box.bottom), [])
        before = line[-1][0].right if line else box.left - _BLANK
        by = ceil(before + _BLANK - box.left)
        if 0 < by <= _FURTHEST:
            shift(group, by)
            box = box._replace(left=box.left + by, right=box.right + by)
        elif by > _FURTHEST and _is_mark(group) and box.left < line[-1][0].right + _AIR:
            # A rehearsal mark stays at its barline, above the words that reach over it.
            up = ceil(box.bottom + _AIR - line[-1][0].top)
            move(group, -up)
            lines[-up] = [(box._replace(top=box.top - up, bottom=box.bottom - up), group)]
            continue
        line.append((box, group))
    return [each for line in lines.values() for each in line]


def _is_mark(group: etree._Element) -> bool:
    return (group.get("class") or "").startswith("reh")


def _clear(box: DrawnBox, obstacles: Iterable[DrawnBox]) -> DrawnBox:
    """Where a box stands clear of what it would lie upon: above it, or below where it stands lower."""
    for _ in range(_MOST_STEPS):
        hit = next((each for each in obstacles if box.near(each, _AIR)), None)
        if hit is None:
            break
        is_over = box.top + box.bottom < hit.top + hit.bottom
        by = -ceil(box.bottom + _AIR - hit.top) if is_over else ceil(hit.bottom + _AIR - box.top)
        box = box._replace(top=box.top + by, bottom=box.bottom + by)
    return box

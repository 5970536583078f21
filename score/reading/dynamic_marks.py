"""Printed dynamics of a part, and the dynamic in force at any place."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from score.piece import Dynamic
from score.reading.directions import Direction
from score.reading.part_scan import PartScan
from score.reading.xml_cursor import Element

# What is left in force by a mark that speaks for one stroke (common practice, no source): "" keeps the
# dynamic before it.
_ONE_STROKE = {
    "sf": "",
    "sfz": "",
    "sffz": "",
    "sfffz": "",
    "fz": "",
    "rf": "",
    "rfz": "",
    "fp": "p",
    "ffp": "p",
    "mfp": "p",
    "sfp": "p",
    "sfzp": "p",
    "fpp": "pp",
    "sfpp": "pp",
    "pf": "f",
}


def part_dynamics(scan: PartScan, directions: Sequence[Direction]) -> list[Dynamic]:
    """Every printed dynamic of a part, from directions and from notes, by place."""
    dynamics = [
        Dynamic(item.bar, item.at, mark, part=scan.head.index, staff=item.staff)
        for item in directions
        if item.tag == "dynamics" and (mark := _letters(item.element))
    ]
    for note in scan.notes:
        for marks in note.marks("dynamics"):
            if letters := _letters(marks):
                dynamics.append(Dynamic(note.bar, note.at, letters, part=scan.head.index, staff=note.staff))
    return sorted(dict.fromkeys(dynamics), key=lambda item: (item.bar, item.at, item.staff))


class DynamicsInForce:
    """Answers which dynamic rules a stroke: its own staff's last one, or any staff's when that is later.

    A mark printed once between two staves speaks for both.
    """

    def __init__(self, dynamics: Sequence[Dynamic]) -> None:
        self._places = [(item.bar, item.at) for item in dynamics]
        self._dynamics = dynamics
        self._after: list[str] = []
        level = ""
        for item in dynamics:
            left = _ONE_STROKE.get(item.mark)
            level = item.mark if left is None else left or level
            self._after.append(level)

    def at(self, bar: int, at: Fraction, staff: int) -> str:
        """The dynamic at a place: the mark printed there, or what the last one left; "" before any."""
        end = bisect_right(self._places, (bar, at))
        if not end:
            return ""
        here = [item for item in self._dynamics[max(0, end - 8) : end] if (item.bar, item.at) == (bar, at)]
        own = [item.mark for item in here if item.staff == staff] or [item.mark for item in here]
        return own[-1] if own else self._after[end - 1]


def _letters(dynamics: Element) -> str:
    """The letters of a mark that may be spelt by several elements (`<f/><p/>` is fp)."""
    letters = ""
    for child in dynamics.iterchildren("*"):
        letters += (child.text or "").strip() if child.tag == "other-dynamics" else str(child.tag)
    return letters

"""The directions of a part, each exactly placed: words, dynamics, hairpins, pedals, percussion signs, sounds."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from score.reading.part_scan import PartScan
from score.reading.xml_cursor import Element, Placed, number

_SNAP = Fraction(1, 2)


class Direction(NamedTuple):
    """One child of a `<direction-type>`, or one `<sound>`.

    Attributes:
        tag: MusicXML name of the child.
        element: the child.
        bar, at: where it means to stand, quarters, inside the bar.
        staff: from 1.
    """

    tag: str
    element: Element
    bar: int
    at: Fraction
    staff: int = 1

    @property
    def text(self) -> str:
        """The child's own text on one line."""
        return " ".join((self.element.text or "").split())


def part_directions(scan: PartScan) -> list[Direction]:
    """Every direction of a part, by place, then in document order.

    An `<offset>` is taken at its word, except that a direction which an exporter has nudged by less than
    half a quarter away from a note stays with that note. None leaves its bar.
    """
    onsets = _onsets(scan)
    directions: list[Direction] = []
    for bar, placed in enumerate(scan.bars):
        for item in placed:
            directions += _of(item, bar, scan.lengths[bar], onsets)
    return sorted(directions, key=lambda direction: (direction.bar, direction.at))


def _onsets(scan: PartScan) -> set[tuple[int, Fraction]]:
    return {(note.bar, note.at) for notes in (scan.notes, scan.rests) for note in notes}


def _of(item: Placed, bar: int, length: Fraction, onsets: set[tuple[int, Fraction]]) -> Iterator[Direction]:
    if item.element.tag == "sound":
        yield Direction("sound", item.element, bar, at=min(item.shown_at, length))
    if item.element.tag != "direction":
        return
    nudged = abs(item.offset) < _SNAP and (bar, item.at) in onsets
    at = min(item.at if nudged else item.shown_at, length)
    stated = number(item.element.findtext("staff"))
    staff = int(stated) if stated is not None and stated >= 1 else 1
    for child in item.element.iterfind("direction-type/*"):
        if isinstance(child.tag, str):
            yield Direction(child.tag, child, bar, at=at, staff=staff)
    for sound in item.element.iterfind("sound"):
        yield Direction("sound", sound, bar, at=at, staff=staff)

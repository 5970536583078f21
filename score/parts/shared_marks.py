"""Marks that hold for everybody though they stand in one part: tempi, rehearsal marks, jumps."""

from collections.abc import Iterator, Sequence
from copy import deepcopy
from fractions import Fraction

from lxml import etree

from score.piece import TempoChange
from score.reading.reading_result import Outline
from score.reading.xml_cursor import Cursor

_MARKS = ("metronome", "rehearsal", "segno", "coda")
_SOUNDS = ("tempo", "dacapo", "dalsegno", "tocoda", "fine", "segno", "coda", "forward-repeat")
GlobalMark = tuple[int, Fraction, etree._Element]
"""A mark that holds for everybody: index of the bar, quarters in it, the `<direction>`."""


def marks_for_all(part: etree._Element, outline: Outline) -> Iterator[GlobalMark]:
    """A part's marks that hold for everybody, in order."""
    gradual = {change.start.bar: change.text for change in outline.tempo_changes}
    tempi = {(tempo.bar, tempo.text) for tempo in outline.tempi if tempo.text}
    cursor = Cursor()
    for bar, measure in enumerate(part.iterchildren("measure")):
        marks = [mark for mark in measure.iterchildren("direction") if _is_global(mark, bar, gradual, tempi)]
        if not marks:
            cursor.skip(measure)
            continue
        for item in cursor.walk(measure):
            if item.element in marks:
                yield bar, min(item.shown_at, outline.bars[bar].length), item.element


def _is_global(direction: etree._Element, bar: int, gradual: dict[int, str], tempi: set[tuple[int, str]]) -> bool:
    if any(direction.find(f"direction-type/{tag}") is not None for tag in _MARKS):
        return True
    if any(sound.get(name) for sound in direction.findall("sound") for name in _SOUNDS):
        return True
    words = " ".join(" ".join((w.text or "").split()) for w in direction.findall("direction-type/words"))
    return bool(words) and (gradual.get(bar) == words or (bar, words) in tempi)


def marks_of_others(
    ordered: Sequence[Sequence[GlobalMark]], own: int, changes: Sequence[TempoChange]
) -> dict[int, list[tuple[Fraction, etree._Element]]]:
    """Tempi, rehearsal marks and jumps that stand only in other players' parts, once each, by bar.

    Args:
        ordered: every part's marks, the player's own parts first.
        own: how many these are.
        changes: of tempo, which say how far their dashes go.
    """
    seen: set[tuple[int, str]] = set()
    others: dict[int, list[tuple[Fraction, etree._Element]]] = {}
    for index, marks in enumerate(ordered):
        for bar, at, direction in marks:
            key = bar, _content(direction)
            if key in seen:
                continue
            seen.add(key)
            if index >= own:
                others.setdefault(bar, []).append((at, _without_staff(deepcopy(direction))))
                if direction.find("direction-type/dashes") is not None:
                    _end_dashes(others, bar, direction, changes)
    return others


def _end_dashes(
    marks: dict[int, list[tuple[Fraction, etree._Element]]],
    bar: int,
    start: etree._Element,
    changes: Sequence[TempoChange],
) -> None:
    """The dashes of a change of tempo end where it does; of others nobody but their own part knows, and they go."""
    change = next((change for change in changes if change.start.bar == bar and change.extent == "dashes"), None)
    copy = marks[bar][-1][1]
    if change is None:
        for kind in copy.findall("direction-type"):
            if kind.find("dashes") is not None and len(copy.findall("direction-type")) > 1:
                copy.remove(kind)
        return
    stop = etree.Element("direction", placement=start.get("placement") or "above")
    for dashes in start.iterfind("direction-type/dashes"):
        kind = etree.SubElement(stop, "direction-type")
        etree.SubElement(kind, "dashes", type="stop", number=dashes.get("number") or "1")
    marks.setdefault(change.end.bar, []).append((change.end.at, stop))


def _content(direction: etree._Element) -> str:
    texts = (" ".join((element.text or "").split()) for element in direction.iterfind("direction-type//*"))
    tags = (str(element.tag) for element in direction.iterfind("direction-type/*"))
    return "|".join((*tags, *texts))


def _without_staff(direction: etree._Element) -> etree._Element:
    """The mark for the highest staff that is seen: above it, wherever it stands in its own part."""
    if direction.get("placement") == "below":
        direction.set("placement", "above")
    for tag in ("voice", "staff"):
        for child in direction.findall(tag):
            direction.remove(child)
    direction.tail = None
    return direction

"""How long each bar of the score really is, whatever its meter says.

Parts are lined up by bar index, and the bar's own notated length says where the next one starts: the
furthest point that any part reaches in it. A whole-bar rest is only a sign for "this bar", so it never
stretches a bar that is written shorter: a pickup, or a bar split by a repeat.
"""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.reading.note_signs import NoteSigns
from score.reading.part_heads import PartHead
from score.reading.reading_log import WarningLog
from score.reading.xml_cursor import Element, Placed, number, part_walks

_ZERO = Fraction(0)
_WHOLE_REST_TYPES = (None, "", "whole", "breve")


class Extent(NamedTuple):
    """How far one part reaches in one bar, quarters.

    Attributes:
        written: the furthest point reached by anything but a whole-bar rest.
        resting: the furthest point a whole-bar rest claims; 0 without one.
        meter: length of the meter in force; 0 when there is none.
        implicit: the bar is marked as not counted (a pickup, or the second half of a split bar).
    """

    written: Fraction
    resting: Fraction
    meter: Fraction
    implicit: bool


def lengths_of(parts: Sequence[Sequence[Extent]]) -> list[Fraction]:
    """Notated length of every bar, quarters, all above 0, from how far each part reaches in it.

    Parts may have different numbers of bars.
    """
    bars = max((len(part) for part in parts), default=0)
    columns = [[part[index] for part in parts if index < len(part)] for index in range(bars)]
    return [_length(columns, index) for index in range(bars)]


def uneven_bars(
    parts: Sequence[Sequence[Extent]], heads: Sequence[PartHead], labels_of: Sequence[Sequence[str]], log: WarningLog
) -> None:
    """Warn of every bar in which a part is shorter or longer than the score, or the score than its meter.

    Args:
        parts: how far each part reaches.
        heads: what the parts are called.
        labels_of: how messages call each part's bars.
        log: takes the warnings.
    """
    lengths = lengths_of(parts)
    columns = [list(column) for column in zip(*parts, strict=True)]
    for index in range(1, len(columns) - 1):
        meter = max(extent.meter for extent in columns[index])
        if lengths[index] < meter and not _is_short(columns, index, lengths[index]):
            what = f"all parts together hold {lengths[index]} of {meter} quarters; the bar was taken as that short"
            log.add(what, "", labels_of[0][index])
    for extents, head, labels in zip(parts, heads, labels_of, strict=True):
        for extent, length, bar in zip(extents, lengths, labels, strict=True):
            if extent.written and extent.written != length and not extent.resting:
                log.add(f"the part fills {extent.written} of the bar's {length} quarters", head.called, bar)
            if extent.meter and extent.written > extent.meter:
                log.add(f"{extent.written} quarters stand in a bar of {extent.meter}", head.called, bar)


def part_extents(part: Element) -> list[Extent]:
    """How far one part reaches in each of its bars."""
    meter, extents = _ZERO, []
    for measure, (placed, end) in zip(part.iterchildren("measure"), part_walks(part), strict=True):
        meter = next((length for item in placed if (length := _meter_change(item)) is not None), meter)
        extents.append(_extent(measure, placed, end, meter))
    return extents


def meter_length(time: Element) -> Fraction | None:
    """Full length in quarters of a `<time>`; 0 for unmeasured music, None when it cannot be read."""
    if time.find("senza-misura") is not None:
        return _ZERO
    total = _ZERO
    for beats, unit in zip(time.findall("beats"), time.findall("beat-type"), strict=False):
        counts = [number(text) for text in (beats.text or "").split("+")]
        below = number(unit.text)
        if not below or below < 0 or None in counts:
            return None
        total += sum((count for count in counts if count), _ZERO) * 4 / below
    return total if total > 0 else None


def is_whole_bar_rest(note: Element) -> bool:
    """Whether a note says outright that it is a rest for the whole bar."""
    rest = note.find("rest")
    return rest is not None and rest.get("measure") == "yes"


def whole_bar_rests(placed: Sequence[Placed]) -> list[Placed]:
    """The rests of a bar that stand for all of it: said outright, or alone in their staff from its start."""
    rests = [item for item in placed if item.signs is not None and item.signs.rest]
    if not rests:
        return []
    staves = Counter(item.signs.staff for item in placed if item.signs is not None)
    return [
        item for item in rests if item.signs is not None and _is_whole(item, item.signs, staves[item.signs.staff] == 1)
    ]


def _is_whole(item: Placed, signs: NoteSigns, alone: bool) -> bool:
    if is_whole_bar_rest(item.element):
        return True
    return alone and item.at == 0 and signs.type in _WHOLE_REST_TYPES


def _meter_change(item: Placed) -> Fraction | None:
    time = item.element.find("time") if item.element.tag == "attributes" else None
    return None if time is None else meter_length(time)


def _extent(measure: Element, placed: list[Placed], end: Fraction, meter: Fraction) -> Extent:
    whole = whole_bar_rests(placed)
    resting = max((item.length for item in whole), default=_ZERO)
    if whole and not resting:
        resting = meter
    return Extent(_written(placed, whole) if whole else end, resting, meter, implicit=measure.get("implicit") == "yes")


def _written(placed: list[Placed], whole: list[Placed]) -> Fraction:
    skipped = {item.element for item in whole}
    ends = [item.at + item.length for item in placed if item.element.tag == "note" and item.element not in skipped]
    return max(ends, default=_ZERO)


def _length(columns: list[list[Extent]], index: int) -> Fraction:
    column = columns[index]
    written = max(extent.written for extent in column)
    resting = max(extent.resting for extent in column)
    meter = max(extent.meter for extent in column) or Fraction(4)
    if written and (written >= resting or _is_short(columns, index, written)):
        return written
    return resting or meter


def _is_short(columns: list[list[Extent]], index: int, written: Fraction) -> bool:
    """Whether a bar is meant to be short: a pickup, or one half of a bar split by a repeat."""
    column = columns[index]
    if index == 0 or any(extent.implicit for extent in column):
        return True
    meter = max(extent.meter for extent in column)
    beside = [columns[other] for other in (index - 1, index + 1) if 0 <= other < len(columns)]
    return any(max(extent.written for extent in other) + written == meter for other in beside)

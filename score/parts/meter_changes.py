"""Meters where they change, staff by staff: the engraver's import hides one on every staff when one staff hides it.

A player whose part has a meter of its own, while others play in another, reads the own one.
"""

import re
from collections.abc import Mapping, Sequence

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.key_changes import score_def_before, staff_definitions
from score.parts.printed_bar import MEI, PrintedBar
from score.parts.source_signs import SourceSign
from score.piece import Bar

_FRACTION = re.compile(r"([\d+]+?)/(\d+)(?:\+|$)")
_ATTRIBUTES = ("meter.count", "meter.unit", "meter.sym", "meter.visible")
_SIGNS = (MEI + "meterSig", MEI + "meterSigGrp")


def print_meters(
    root: etree._Element,
    bars: Sequence[PrintedBar],
    all_bars: Sequence[Bar],
    meters: Sequence[SourceSign],
    staves: Mapping[str, range],
) -> None:
    """Put every change of meter into the document.

    Args:
        root: the document.
        bars: every measure, one a bar.
        all_bars: the piece's bars.
        meters: signs of the kind "meter" of the player's own parts.
        staves: numbers of the player's own staves by the id of their part; on others no meter is seen.
    """
    numbers = [staff.get("n", "1") for staff in next(root.iter(MEI + "scoreDef")).iter(MEI + "staffDef")]
    written = {(sign.bar, str(number)): sign.text for sign in meters for number in staves.get(sign.part, ())}
    seen = {str(number) for own in staves.values() for number in own}
    speaking = {number for bar, number in written if bar}
    in_force = {number: written.get((0, number), _text(all_bars, 0)) for number in numbers}
    _mix_first(root, in_force, seen)
    for bar in bars[1:]:
        _clear(bar.measure)
        text, before = _text(all_bars, bar.first), _text(all_bars, bar.first - 1)
        for number in numbers:
            # A part that never says a change of meter goes by the piece.
            follows = text != before and number not in speaking
            wanted = written.get((bar.first, number), text if follows else in_force[number])
            if wanted != in_force[number]:
                in_force[number] = wanted
                _set(staff_definitions(bar.measure), number, wanted, is_seen=number in seen)


def _text(all_bars: Sequence[Bar], index: int) -> str:
    return all_bars[index].meter.text


def _mix_first(root: etree._Element, in_force: Mapping[str, str], seen: set[str]) -> None:
    """Write a meter of several fractions at the beginning, of which the import keeps one."""
    for staff in next(root.iter(MEI + "scoreDef")).iter(MEI + "staffDef"):
        number = staff.get("n", "1")
        if len(_FRACTION.findall(in_force[number].split(" ")[0])) > 1:
            for old in staff.findall(MEI + "meterSig"):
                staff.remove(old)
            staff.append(_sign(in_force[number], is_seen=number in seen))


def _clear(measure: etree._Element) -> None:
    """Take out what was imported before a measure."""
    score_def = score_def_before(measure)
    if score_def is None:
        return
    for old in list(score_def.iter(*_SIGNS)):
        drop(old)
    for name in _ATTRIBUTES:
        if name in score_def.attrib:
            del score_def.attrib[name]


def _set(group: etree._Element, number: str, text: str, is_seen: bool) -> None:
    staff = next((staff for staff in group.iter(MEI + "staffDef") if staff.get("n") == number), None)
    if staff is None:
        staff = etree.SubElement(group, MEI + "staffDef", n=number)
    staff.append(_sign(text, is_seen))


def _sign(text: str, is_seen: bool) -> etree._Element:
    """The sign of a meter, one that is not seen where none is: places are counted in quarters there."""
    meter, _, symbol = text.partition(" ")
    fractions = _FRACTION.findall(meter)
    signs = [etree.Element(MEI + "meterSig", count=count, unit=unit) for count, unit in fractions or [("4", "4")]]
    for sign in signs:
        if not is_seen or not fractions:
            sign.set("visible", "false")
        if symbol:
            sign.set("form" if symbol == "num" else "sym", symbol)
    if len(signs) == 1:
        return signs[0]
    group = etree.Element(MEI + "meterSigGrp", func="mixed")
    group.extend(signs)
    return group

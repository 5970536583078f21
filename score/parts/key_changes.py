"""Keys that change on the way: the engraver's import loses them where the first part of a document has none there."""

from collections.abc import Mapping, Sequence

from lxml import etree

from score.parts.printed_bar import MEI, PrintedBar
from score.parts.source_signs import SourceSign


def print_keys(bars: Sequence[PrintedBar], keys: Sequence[SourceSign], staves: Mapping[str, range]) -> None:
    """Put every change of key into the document, staff by staff.

    Args:
        bars: every measure, one a bar.
        keys: signs of the kind "key", their text in fifths.
        staves: numbers of the staves by the id of their part.
    """
    for key in keys:
        if 0 < key.bar < len(bars) and key.part in staves:
            group = staff_definitions(bars[key.bar].measure)
            for number in staves[key.part]:
                _set_key(group, str(number), int(key.text))


def _set_key(group: etree._Element, number: str, fifths: int) -> None:
    staff = next((staff for staff in group.iter(MEI + "staffDef") if staff.get("n") == number), None)
    if staff is None:
        staff = etree.SubElement(group, MEI + "staffDef", n=number)
    if staff.find(MEI + "keySig") is None:
        sig = f"{abs(fifths)}{'f' if fifths < 0 else 's'}" if fifths else "0"
        staff.insert(0, etree.Element(MEI + "keySig", sig=sig))


def staff_definitions(measure: etree._Element) -> etree._Element:
    """The definitions of the staves before a measure, made where there are none."""
    score_def = score_def_before(measure)
    if score_def is None:
        score_def = etree.Element(MEI + "scoreDef")
        measure.addprevious(score_def)
    group = score_def.find(f".//{MEI}staffGrp")
    return etree.SubElement(score_def, MEI + "staffGrp") if group is None else group


def score_def_before(measure: etree._Element) -> etree._Element | None:
    """What is defined anew right before a measure, or None."""
    previous = measure.getprevious()
    while previous is not None and previous.tag in (MEI + "sb", MEI + "pb"):
        previous = previous.getprevious()
    return previous if previous is not None and previous.tag == MEI + "scoreDef" else None

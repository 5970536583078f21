"""The group's agreed marks as directions of a part's MusicXML: they can be taken out again, and nothing else changes.

Each has an id that begins with "agreed-" and stands at the beginning of its measure with an offset, so that no note is
touched. Signs are named as in SMuFL (Standard Music Font Layout): breathMarkComma, miscEyeglasses.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from lxml import etree

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.parts.drawing_tree import ids_in, parsed

_FIRST = "agreed-"
_SYMBOLS = {MarkSort.BREATH: "breathMarkComma", MarkSort.LOOK: "miscEyeglasses"}
_BEFORE = ("attributes", "print", "barline", "direction")
_FONT = {"font-family": "DejaVu Sans Mono, monospace", "font-style": "italic"}


def with_directions(xml: bytes, cue_ids: Sequence[str], marks: Sequence[AgreedMark]) -> bytes:
    """A part's document with a direction for each mark; without marks the same bytes.

    Args:
        xml: the document, UTF-8.
        cue_ids: ids of the cue staves' parts; the first part that is none of these gets the marks.
        marks: of the player's part.
    """
    if not marks:
        return xml
    tree = etree.ElementTree(parsed(xml))
    part = next((each for each in tree.getroot().findall("part") if each.get("id") not in cue_ids), None)
    if part is None:
        return xml
    measures = part.findall("measure")
    divisions = list(_divisions(measures))
    used = ids_in(tree.getroot())
    for mark in marks:
        if mark.bar < len(measures):
            name = _free(f"{_FIRST}{mark.sort}-{mark.name}", used)
            _insert(measures[mark.bar], _direction(mark, name, mark.at * divisions[mark.bar]))
    return etree.tostring(tree, encoding="UTF-8", xml_declaration=True)


def _divisions(measures: Sequence[etree._Element]) -> Iterator[Fraction]:
    """Divisions of a quarter in force at the beginning of each measure."""
    divisions = Fraction(1)
    for measure in measures:
        for child in measure:
            if child.tag in ("note", "backup", "forward"):
                break
            if child.tag == "attributes" and (text := child.findtext("divisions")):
                divisions = Fraction(text.strip())
        yield divisions


def _free(name: str, used: set[str]) -> str:
    while name in used:
        name = f"{name}-"
    used.add(name)
    return name


def _insert(measure: etree._Element, direction: etree._Element) -> None:
    """Before the measure's first note, behind what is set for it."""
    place = 0
    while place < len(measure) and measure[place].tag in _BEFORE:
        place += 1
    measure.insert(place, direction)


def _direction(mark: AgreedMark, name: str, offset: Fraction) -> etree._Element:
    direction = etree.Element("direction", placement="above", id=name)
    if mark.sort in _SYMBOLS:
        etree.SubElement(etree.SubElement(direction, "direction-type"), "symbol").text = _SYMBOLS[mark.sort]
    text = f"\u2192 {mark.text}" if mark.sort is MarkSort.LEAD else mark.text
    if text:
        etree.SubElement(etree.SubElement(direction, "direction-type"), "words", _FONT).text = text
    if offset:
        whole = offset.denominator == 1
        etree.SubElement(direction, "offset").text = str(offset.numerator) if whole else f"{float(offset):.6f}"
    return direction

"""Timewise scores turned partwise, element for element.

Source: MusicXML 4.0: `score-timewise` holds measures that hold parts, `score-partwise` parts that hold
measures; everything inside is the same, and the XSLT published with the format converts exactly.
"""

from lxml import etree

from score.reading.xml_cursor import Element


def partwise(root: Element) -> Element:
    """The same score as `<score-partwise>`; the timewise tree is used up.

    A part that has nothing in some bar gets an empty bar there, so that bars stay lined up.
    """
    score = etree.Element("score-partwise", _attributes(root))
    parts = {part: etree.Element("part", id=part) for part in _part_ids(root)}
    for child in list(root):
        if child.tag == "measure":
            _share_out(child, parts)
        else:
            score.append(child)
    score.extend(parts.values())
    return score


def _part_ids(root: Element) -> list[str]:
    """In the order of the part list, then of first appearance."""
    listed = [item.get("id", "") for item in root.iterfind("part-list/score-part")]
    standing = [item.get("id", "") for item in root.iterfind("measure/part")]
    present = set(standing)
    return list(dict.fromkeys([*(part for part in listed if part in present), *standing]))


def _share_out(bar: Element, parts: dict[str, Element]) -> None:
    measures = {part: etree.SubElement(into, "measure", _attributes(bar)) for part, into in parts.items()}
    for part in bar.findall("part"):
        measure = measures[part.get("id", "")]
        measure.text = measure.text or part.text
        measure.extend(list(part))


def _attributes(element: Element) -> dict[str, str]:
    return {str(name): str(value) for name, value in element.attrib.items()}

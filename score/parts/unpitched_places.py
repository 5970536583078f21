"""Where notes without pitch stand: in the clef of their staff, which the engraver's import takes for a treble clef."""

from collections.abc import Iterator, Mapping

from lxml import etree

from score.parts.printed_bar import MEI

_CLEF, _NOTE, _STAFF = (MEI + name for name in ("clef", "note", "staff"))
_ON_ITS_LINE: Mapping[str, int] = {"G": 32, "F": 24, "C": 28}
"""Diatonic number of the note on a clef's own line: G4, F3, C4."""
TREBLE = 30
"""Of the bottom line in the treble clef, E4; that of percussion is read as it. Source: MusicXML 4.0, display-step."""


def bottom_line(shape: str, line: str) -> int:
    """Diatonic number of a staff's bottom line by its clef's letter and line."""
    return _ON_ITS_LINE[shape] - 2 * (int(line) - 1) if shape in _ON_ITS_LINE and line.isdigit() else TREBLE


def place_unpitched(root: etree._Element) -> None:
    """Put notes without pitch where their staff's clef has them."""
    bottoms: dict[str, int] = {}
    for element in root.iter(MEI + "staffDef", MEI + "measure"):
        if element.tag == MEI + "staffDef":
            for clef in element.iterchildren(_CLEF):
                bottoms[element.get("n") or ""] = _bottom(clef)
            continue
        for staff in element.iterchildren(_STAFF):
            number = staff.get("n") or ""
            bottoms[number] = _place_in(staff, bottoms.get(number, TREBLE))


def _place_in(staff: etree._Element, first: int) -> int:
    """Place the notes of a staff in a bar, whose clef has this bottom line at first; the one it has at the end."""
    last = first
    for layer in staff.iterchildren(MEI + "layer"):
        # A clef holds from where it stands; the next voice begins again at the bar line.
        bottom = first
        for element in _events(layer):
            if element.tag == _CLEF:
                bottom = last = _bottom(element)
            elif bottom != TREBLE:
                element.set("loc", str(int(element.get("loc") or 0) + TREBLE - bottom))
    return last


def _events(layer: etree._Element) -> Iterator[etree._Element]:
    """The clefs, and the notes that have a place and no pitch."""
    for element in layer.iter(_CLEF, _NOTE):
        if element.tag == _CLEF or (element.get("pname") is None and (element.get("loc") or "").lstrip("-").isdigit()):
            yield element


def _bottom(clef: etree._Element) -> int:
    return bottom_line(clef.get("shape") or "", clef.get("line") or "")

"""Tablature: staves whose notes are figures on lines that stand for strings, as the engraver needs and draws them."""

from collections.abc import Iterator

from lxml import etree

from score.parts.drawing_tree import drop

FIGURES = frozenset({"fret", "string"})
"""What a note of tablature is drawn from: on other staves it is said above the note."""
_LOST = frozenset({"accidental", "notehead", "rest"})
"""Kinds of signs that a figure does without, and rests, which are drawn but lose their names in the import."""


def is_in_the_figure(kind: str, text: str) -> bool:
    """Whether a sign of a note of tablature, a kind and its text, is not looked for beside the note's figure."""
    return kind in _LOST or (kind == "words" and text.partition(" ")[0] in FIGURES)


def tablature_notes(part: etree._Element) -> Iterator[etree._Element]:
    """The notes of a part of MusicXML that stand in tablature."""
    if not any(map(is_tablature, part.iter("clef"))):
        return
    staves: set[str] = set()
    for element in part.iterfind("measure/*"):
        if element.tag == "attributes":
            follow_clefs(element, staves)
        elif element.tag == "note" and (element.findtext("staff") or "1") in staves:
            yield element


def is_tablature(clef: etree._Element) -> bool:
    """Whether a clef of MusicXML is that of tablature."""
    return (clef.findtext("sign") or "").strip() == "TAB"


def follow_clefs(attributes: etree._Element, staves: set[str]) -> None:
    """Keep the numbers of the staves of a part that are tablature from these attributes on."""
    for clef in attributes.iterchildren("clef"):
        change = staves.add if is_tablature(clef) else staves.discard
        change(clef.get("number") or "1")


def write_out_tablature(part: etree._Element) -> None:
    """Have tablature printed as notes where one has neither fret nor string: the engraver would never end."""
    notes = [note for note in tablature_notes(part) if note.find("rest") is None]
    if all(any(next(note.iter(name), None) is not None for name in FIGURES) for note in notes):
        return
    for clef in part.iterfind("measure/attributes/clef"):
        if is_tablature(clef):
            clef[:] = [etree.Element(name) for name in ("sign", "line", "clef-octave-change")]
            for child, text in zip(clef, ("G", "2", "-1"), strict=True):
                child.text = text
    for details in list(part.iterfind("measure/attributes/staff-details")):
        drop(details)

"""Several fermatas on one note: the engraver's import takes one, and one above and one below are printed."""

from collections import Counter
from collections.abc import Collection, Sequence
from copy import deepcopy

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.printed_bar import MEI, XML_ID
from score.parts.source_signs import SourceSign, fermata_side

_OTHER = {"above": "below", "below": "above", "norm": "inv", "inv": "norm"}


def join_fermatas(note: etree._Element) -> None:
    """Of several fermatas on one side of a note of MusicXML the last that has a shape stays."""
    for side in ("upright", "inverted"):
        signs = [each for each in note.iterfind("notations/fermata") if fermata_side(each) == side]
        for sign in sorted(signs, key=lambda each: bool((each.text or "").strip()))[:-1]:
            drop(sign)


def notes_with_both(signs: Sequence[SourceSign]) -> frozenset[str]:
    """Ids of the notes that have a fermata on either side, told from the signs of a source."""
    written = Counter(sign.note for sign in signs if sign.kind == "fermata" and sign.note)
    return frozenset(note for note, count in written.items() if count > 1)


def notes_marked_twice(root: etree._Element) -> frozenset[str]:
    """The same, told from MusicXML."""
    sides: dict[str, set[str]] = {}
    for fermata in root.iter("fermata"):
        for note in fermata.iterancestors("note"):
            sides.setdefault(note.get("id") or "", set()).add(fermata_side(fermata))
    return frozenset(note for note, both in sides.items() if note and len(both) > 1)


def print_both_fermatas(root: etree._Element, notes: Collection[str]) -> None:
    """Put the second fermata of these notes back into the document, on the other side of them."""
    for sign in list(root.iter(MEI + "fermata")) if notes else ():
        if (sign.get("startid") or "")[1:] in notes:
            other = deepcopy(sign)
            for name in (XML_ID, "shape"):
                other.attrib.pop(name, "")
            for name in ("place", "form"):
                other.set(name, _OTHER.get(sign.get(name) or "", sign.get(name) or ""))
            sign.addnext(other)

"""Several fermatas on one note: the engraver's import takes one, and one above and one below are printed."""

from collections import Counter
from collections.abc import Sequence
from copy import deepcopy

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.printed_bar import MEI, XML_ID
from score.parts.source_signs import SourceSign

_OTHER = {"above": "below", "below": "above", "norm": "inv", "inv": "norm"}


def join_fermatas(note: etree._Element) -> None:
    """Of several fermatas on one side of a note of MusicXML the last that has a shape stays."""
    for side in ("upright", "inverted"):
        signs = [each for each in note.iterfind("notations/fermata") if (each.get("type") or "upright") == side]
        for sign in sorted(signs, key=lambda each: bool((each.text or "").strip()))[:-1]:
            drop(sign)


def print_both_fermatas(root: etree._Element, signs: Sequence[SourceSign]) -> None:
    """Put the second fermata of a note back into the document, on the other side of it."""
    written = Counter(sign.note for sign in signs if sign.kind == "fermata" and sign.note)
    for sign in list(root.iter(MEI + "fermata")) if max(written.values(), default=0) > 1 else ():
        if written[(sign.get("startid") or "")[1:]] > 1:
            other = deepcopy(sign)
            for name in (XML_ID, "shape"):
                other.attrib.pop(name, "")
            for name in ("place", "form"):
                other.set(name, _OTHER.get(sign.get(name) or "", sign.get(name) or ""))
            sign.addnext(other)

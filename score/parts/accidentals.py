"""Accidentals that the engraver's import leaves empty: what the score means by them, put back as signs of its font."""

from collections.abc import Mapping

from lxml import etree

from score.parts.printed_bar import MEI, XML_ID
from score.printing.music_font import sign_named

_BY_ALTER: Mapping[str, str] = {
    "-2": "flat-flat",
    "-1": "flat",
    "0": "natural",
    "1": "sharp",
    "2": "double-sharp",
}
_USUAL: Mapping[str, str] = {"flat-flat": "ff", "flat": "f", "natural": "n", "sharp": "s", "double-sharp": "x"}
_FONT_SIGNS: Mapping[str, str] = {
    "sharp-1": "accidental1CommaSharp",
    "sharp-2": "accidental2CommaSharp",
    "sharp-3": "accidental3CommaSharp",
    "sharp-5": "accidental5CommaSharp",
    "flat-1": "accidental1CommaFlat",
    "flat-2": "accidental2CommaFlat",
    "flat-3": "accidental3CommaFlat",
    "flat-4": "accidental4CommaFlat",
}


def accidental_of(note: etree._Element) -> str:
    """The accidental of a note of MusicXML, "" where it has none.

    One that is written without saying which is what the note's pitch needs; one of a font's is told by its SMuFL name.
    """
    sign = note.find("accidental")
    if sign is None:
        return ""
    text, smufl = (sign.text or "").strip(), sign.get("smufl") or ""
    if text == "other" and sign_named(smufl):
        return smufl
    return text if text not in ("", "other") else _BY_ALTER.get((note.findtext("pitch/alter") or "0").strip(), text)


def print_accidentals(root: etree._Element, accidentals: Mapping[str, str]) -> None:
    """Give the accidentals of a document that say nothing their signs.

    Args:
        root: the document.
        accidentals: MusicXML's accidental, or the SMuFL name of one, by the id of its note.
    """
    for sign in root.iter(MEI + "accid"):
        holder = sign.getparent()
        if sign.get("accid") or sign.get("glyph.num") or sign.get("accid.ges") or holder is None:
            continue
        name = accidentals.get(holder.get(XML_ID) or "", "")
        letter = sign_named(_FONT_SIGNS.get(name, name))
        if name in _USUAL:
            sign.set("accid", _USUAL[name])
        elif letter:
            # For a sign that its font lacks the engraver's process would end; without a usual one it draws none.
            sign.set("accid", "f" if "lat" in name else "s")
            sign.set("glyph.auth", "smufl")
            sign.set("glyph.num", f"U+{ord(letter):X}")

"""Signs on notes that the engraver has no drawing of: said above the note, as a sign of the music font or in words."""

import re
from collections.abc import Iterator, Mapping

from lxml import etree

from score.printing.music_font import sign_named

_FONT_SIGNS: Mapping[str, str] = {
    "stress": "articStressAbove",
    "unstress": "articUnstressAbove",
    "half-muted": "brassMuteHalfClosed",
}
_SPOKEN = frozenset(
    re.findall(
        r"[\w-]+",
        "scoop plop doit falloff shake thumb-position double-tongue triple-tongue heel toe hole-punch brass-bend flip "
        "smear golpe bend hammer-on pull-off tap arrow hole harmon-mute fret string pluck "
        "other-technical other-articulation handbell",
    )
)
_OWN_WORDS = frozenset({"hammer-on", "pull-off", "tap", "pluck"})
"""Whose text, where there is one, is what is printed."""
_WORDLESS = frozenset({"other-technical", "other-articulation", "handbell"})
"""Which say nothing where they have no text."""
_NUMBERED = frozenset({"fret", "string"})
HOLDERS = frozenset({"articulations", "technical", "ornaments"})
"""MusicXML's lists of signs among a note's notations."""
SAID = frozenset({*_FONT_SIGNS, *_SPOKEN})
"""MusicXML's names of them."""


def said(sign: etree._Element) -> str:
    """What is printed for a sign, "" for one that the engraver draws itself and for the end of one."""
    tag, text = str(sign.tag), " ".join((sign.text or "").split())
    if tag not in SAID or sign.get("type") == "stop":
        return ""
    name = tag.replace("-", " ")
    if tag in _FONT_SIGNS:
        return sign_named(_FONT_SIGNS[tag]) or name
    if tag in _WORDLESS:
        return text
    if tag in _OWN_WORDS:
        return text or name
    return f"{name} {text}" if tag in _NUMBERED and text else name


def said_on(note: etree._Element) -> Iterator[tuple[etree._Element, str]]:
    """The signs of a note that are said, and as what."""
    for holder in note.iterfind("notations/*"):
        for sign in holder if holder.tag in HOLDERS else ():
            if isinstance(sign.tag, str) and sign.get("print-object") != "no" and (text := said(sign)):
                yield sign, text

"""Where slurs of the score end: told so that the engraver joins each beginning with its own end.

Of a slur that ends on the note on which the next one begins it would join the two signs of that note, and an end or a
beginning that stands alone would be joined with one of another slur, bars away.
"""

import re

from lxml import etree

_SLUR, _NUMBER = re.compile(rb"<slur\b[^>]*>"), re.compile(rb'number="([^"]*)"')
_ALONE = 100
"""Numbers from here on are given to slurs that never end, for a score's own go to 16."""


def has_odd_slurs(musicxml: bytes) -> bool:
    """Whether a slur begins where one of its number has not ended, or ends where none has begun."""
    begun: set[bytes] = set()
    for slur in _SLUR.findall(musicxml):
        number = _NUMBER.search(slur)
        name = number[1] if number else b"1"
        if b'"start"' in slur:
            if name in begun:
                return True
            begun.add(name)
        elif b'"stop"' in slur:
            if name not in begun:
                return True
            begun.remove(name)
    return False


def pair_slurs(part: etree._Element) -> None:
    """Put ends before beginnings on a note, number slurs that never end apart, and leave out ends of nothing.

    Where several voices stand one after the other in a measure, an end may come before its beginning: there all stays.
    """
    begun: dict[str, etree._Element] = {}
    alone = _ALONE
    for measure in part.iterfind("measure"):
        if next(measure.iterchildren("backup"), None) is not None:
            begun.clear()
            continue
        for notations in [each for note in measure.iterchildren("note") for each in note.iterchildren("notations")]:
            for slur in _ends_first(notations):
                number, kind = slur.get("number") or "1", slur.get("type")
                if kind == "start":
                    if number in begun:
                        begun[number].set("number", str(alone))
                        alone += 1
                    begun[number] = slur
                elif kind == "stop" and begun.pop(number, None) is None:
                    notations.remove(slur)


def _ends_first(notations: etree._Element) -> list[etree._Element]:
    slurs = list(notations.iterchildren("slur"))
    if len(slurs) < 2:
        return slurs
    places = [notations.index(slur) for slur in slurs]
    ordered = sorted(slurs, key=lambda slur: slur.get("type") != "stop")
    for place, slur in zip(places, ordered, strict=True):
        notations.remove(slur)
        notations.insert(place, slur)
    return ordered

"""Endings of repeats whose end the score does not tell: closed, so that the engraver draws them."""

import re

from lxml import etree

_ENDING, _NUMBER = re.compile(rb"<ending\b[^>]*>"), re.compile(rb'number="([^"]*)"')


def has_odd_endings(musicxml: bytes) -> bool:
    """Whether an ending begins while another goes on, has no end, or ends under another number."""
    begun: bytes | None = None
    for ending in _ENDING.findall(musicxml):
        number = _NUMBER.search(ending)
        name = number[1] if number else b""
        if b'"start"' in ending:
            if begun is not None:
                return True
            begun = name
        elif begun != name:
            return True
        else:
            begun = None
    return begun is not None


def pair_endings(part: etree._Element) -> None:
    """Give every end its beginning's number, and an ending without an end one before the next, or in its own bar."""
    begun: etree._Element | None = None
    home: etree._Element | None = None
    previous: etree._Element | None = None
    for measure in part.iterfind("measure"):
        for ending in measure.findall("barline/ending"):
            if ending.get("type") == "start":
                if begun is not None and home is not None:
                    _end(home if previous is None else previous, begun)
                begun, home = ending, measure
                if not begun.get("number"):
                    begun.set("number", "1")
            elif begun is not None:
                ending.set("number", begun.get("number") or "1")
                begun = None
        previous = measure
    if begun is not None and home is not None:
        _end(home, begun)


def _end(measure: etree._Element, begun: etree._Element) -> None:
    """End an ending at the right of a measure, open."""
    line = next((each for each in measure.findall("barline") if each.get("location", "right") == "right"), None)
    if line is None:
        line = etree.SubElement(measure, "barline", location="right")
    end = etree.Element("ending", number=begun.get("number") or "1", type="discontinue")
    repeat = line.find("repeat")
    if repeat is None:
        line.append(end)
    else:
        repeat.addprevious(end)

"""Arpeggios on one note of a voice: they go through what the other voices of its staff strike with it."""

from collections.abc import Iterator

from lxml import etree

from score.parts.event_lengths import event_lengths
from score.parts.printed_bar import MEI, XML_ID

JOINED = "joined"
"""Type of an arpeggio that goes through other voices too."""
_STRUCK = (MEI + "note", MEI + "chord")


def join_arpeggios(root: etree._Element) -> None:
    """Let arpeggios that stand on one note go through all that their staff strikes there; the engraver draws none."""
    for arpeggio in list(root.iter(MEI + "arpeg")):
        names, measure = (arpeggio.get("plist") or "").split(), arpeggio.getparent()
        if len(names) != 1 or measure is None:
            continue
        for staff in measure.iterchildren(MEI + "staff"):
            struck = {f"#{event.get(XML_ID)}": (event, at) for event, at in _struck(staff)}
            event, moment = struck.get(names[0], (None, 0))
            beside = [name for name, (_, at) in struck.items() if at == moment]
            if event is not None and event.tag == _STRUCK[0] and len(beside) > 1:
                arpeggio.set("plist", " ".join(beside))
                arpeggio.set("type", JOINED)


def _struck(staff: etree._Element) -> Iterator[tuple[etree._Element, int]]:
    """What the layers of a staff strike, and when in the bar."""
    for layer in staff.iterchildren(MEI + "layer"):
        at = 0
        for event, length in event_lengths(layer, 1, 1):
            if event.tag in _STRUCK:
                yield event, at
            at += length

"""The cue staff's notes written into an engraver's document that was imported before any cue was chosen.

They come out as the engraver would import them from the part's MusicXML; a test compares the two.
"""

from collections.abc import Sequence
from fractions import Fraction

from lxml import etree

from score.parts.cue_beams import beam_runs, tuplet_spans
from score.parts.cue_rhythm import Sign
from score.parts.cue_staff import CueBar
from score.parts.own_drawing import HELD_IN, HELD_ON
from score.parts.printed_bar import MEI, XML_ID, tstamp
from score.piece import Bar

_DURATIONS = {"long": "long", "breve": "breve", "whole": "1", "half": "2", "quarter": "4", "eighth": "8"}
_Span = tuple[int, int]
_AFTER_ALL = 1000


def write_cues(measures: Sequence[etree._Element], bars: Sequence[Bar], rows: Sequence[Sequence[CueBar]]) -> None:
    """Write rows of cue bars on the first staves of a document whose cue staves are empty.

    Args:
        measures: the document's measures, one a bar.
        bars: the piece's bars.
        rows: what each cue staff holds, bar by bar; the first row is staff 1.
    """
    for number, row in enumerate(rows, 1):
        tied: etree._Element | None = None
        clef = row[0].clef if row else ""
        for measure, bar, cue in zip(measures, bars, row, strict=True):
            tied = _write_bar(measure, str(number), bar, cue, tied) if cue.signs else None
            if cue.clef != clef and cue.signs:
                _change_clef(measure, str(number), cue.clef)
                clef = cue.clef


def _write_bar(
    measure: etree._Element, staff: str, bar: Bar, cue: CueBar, tied: etree._Element | None
) -> etree._Element | None:
    """Write one bar; returns its tie to the next bar, if there is one."""
    notes = [_event(sign, f"cue-{staff}-{bar.index}-{index}") for index, sign in enumerate(cue.signs)]
    layer = _emptied(measure, staff)
    if layer is None:
        return None
    _nest(layer, [_wrapped(sign, note) for sign, note in zip(cue.signs, notes, strict=True)], cue.signs, bar)
    _add_words(measure, staff, bar, cue)
    for sign, note in zip(cue.signs, notes, strict=True):
        if sign.rest:
            continue
        if sign.trill:
            etree.SubElement(measure, MEI + "trill", staff=staff, startid=f"#{note.get(XML_ID)}")
        if sign.tie_in and tied is not None:
            tied.set("endid", f"#{note.get(XML_ID)}")
        tied = etree.SubElement(measure, MEI + "tie", startid=f"#{note.get(XML_ID)}") if sign.tie_out else None
    return tied


def _emptied(measure: etree._Element, staff: str) -> etree._Element | None:
    own_staff = next((item for item in measure.iterchildren(MEI + "staff") if item.get("n") == staff), None)
    if own_staff is None:
        return None
    for old in list(own_staff):
        own_staff.remove(old)
    return etree.SubElement(own_staff, MEI + "layer", n="1")


def _event(sign: Sign, name: str) -> etree._Element:
    event = etree.Element(MEI + ("rest" if sign.rest else "note"), {XML_ID: name})
    if sign.dots:
        event.set("dots", str(sign.dots))
    event.set("dur", _DURATIONS.get(sign.value) or sign.value.rstrip("ndth"))
    if not sign.rest:
        _place(event, sign)
        event.set("stem.dir", "up")
        if edges := " ".join(kind for kind, holds in ((HELD_IN, sign.was_struck), (HELD_ON, sign.holds_on)) if holds):
            event.set("type", edges)
        if sign.accent:
            etree.SubElement(event, MEI + "artic", artic="acc")
    return event


def _place(event: etree._Element, sign: Sign) -> None:
    if sign.written is None:
        event.set("loc", "0")
        return
    event.set("pname", sign.written.step.lower())
    event.set("oct", str(sign.written.octave))
    if sign.written.shown:
        event.set("accid", {1: "s", 0: "n", -1: "f"}[sign.written.alter])
    elif sign.written.alter:
        event.set("accid.ges", {1: "s", -1: "f"}[sign.written.alter])


def _change_clef(measure: etree._Element, staff: str, clef: str) -> None:
    for own_staff in measure.iterchildren(MEI + "staff"):
        if own_staff.get("n") == staff:
            for layer in own_staff.iterchildren(MEI + "layer"):
                layer.insert(0, etree.Element(MEI + "clef", shape=clef, line="2" if clef == "G" else "4"))


def five_lines(root: etree._Element, staves: range, rows: Sequence[Sequence[CueBar]]) -> None:
    """Make staves for pitches of the cue staves whose rows have a clef."""
    for number, row in zip(staves, rows, strict=True):
        for staff in root.iter(MEI + "staffDef"):
            if staff.get("n") == str(number) and staff.get("lines") and row and row[0].clef:
                staff.set("lines", "5")
                for clef in staff.iter(MEI + "clef"):
                    clef.set("shape", row[0].clef)
                    clef.set("line", "2" if row[0].clef == "G" else "4")
                    if "visible" in clef.attrib:
                        del clef.attrib["visible"]


def _grace(count: int) -> etree._Element:
    """One of so many grace notes."""
    note = etree.Element(MEI + "note", {"dur": "8" if count == 1 else "16", "loc": "0", "stem.dir": "up"})
    note.set("grace", "unacc" if count == 1 else "acc")
    if count == 1:
        note.set("stem.mod", "1slash")
    return note


def _wrapped(sign: Sign, note: etree._Element) -> etree._Element:
    if not sign.roll or sign.rest:
        return note
    note.set("stem.mod", f"{sign.roll}slash")
    roll = etree.Element(MEI + "bTrem", form="meas")
    roll.append(note)
    return roll


def _nest(layer: etree._Element, events: Sequence[etree._Element], signs: Sequence[Sign], bar: Bar) -> None:
    """Put the events into the layer, inside beams and tuplets; of two that share events the longer holds the other."""
    spans: list[tuple[_Span, etree._Element]] = []
    for run in beam_runs(signs, bar):
        spans.append(((run[0], run[-1]), etree.Element(MEI + "beam")))
    for span in tuplet_spans(signs):
        actual, normal = signs[span[0]].tuplet or (1, 1)
        spans.append((span, etree.Element(MEI + "tuplet", num=str(actual), numbase=str(normal))))
    holders: list[tuple[int, etree._Element]] = [(len(events) - 1, layer)]
    # Sorted so that what begins first and holds more comes first; a beam before a tuplet of the same notes.
    waiting = sorted(spans, key=lambda item: (item[0][0], -item[0][1]))
    for index, event in enumerate(events):
        while index > holders[-1][0]:
            holders.pop()
        holders[-1][1].extend(_grace(signs[index].graces) for _ in range(signs[index].graces))
        while waiting and waiting[0][0][0] == index:
            (_, end), holder = waiting.pop(0)
            if end <= holders[-1][0]:
                holders[-1][1].append(holder)
                holders.append((end, holder))
        holders[-1][1].append(event)


def _add_words(measure: etree._Element, staff: str, bar: Bar, cue: CueBar) -> None:
    """Who is shown, and who moves next, above the staff; signs stand in the order of the staves."""
    words = cue_words(cue, staff, bar)
    before = [e for e in measure if e.tag == MEI + "staff" or (e.tag != MEI + "tie" and _first_staff(e) <= int(staff))]
    for word in reversed(words):
        before[-1].addnext(word)


def cue_words(cue: CueBar, staff: str, bar: Bar) -> list[etree._Element]:
    """The words above a cue bar, as large as words at the player's own staff."""
    return [_words(staff, place.at, bar, text, style) for place, text, style in cue.words]


def _first_staff(event: etree._Element) -> int:
    number = (event.get("staff") or "").partition(" ")[0]
    return int(number) if number.isdecimal() else _AFTER_ALL


def _words(staff: str, at: Fraction, bar: Bar, text: str, style: str) -> etree._Element:
    event = etree.Element(MEI + "dir", place="above", staff=staff, tstamp=tstamp(at, bar))
    etree.SubElement(event, MEI + "rend", fontstyle=style).text = text
    return event

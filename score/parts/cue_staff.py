"""The cue staff as MusicXML: one line, small, silent where there is no cue.

Measured against the engraver: one line with unpitched notes on E4, ordinary noteheads (crosses cannot tell
half from quarter), stems up, and a hidden whole-bar rest where nothing is cued.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from lxml import etree

from score.parts.cue_beams import beams_of
from score.parts.cue_rhythm import Sign, divisions_of
from score.piece import Bar

STAFF_SIZE = "65"
_ACCIDENTALS = {1: "sharp", 0: "natural", -1: "flat"}
ARROW = "\u25ba"
"""A pointer whose head is as high as a letter: a thin arrow cannot be seen from a metre away."""


class CueBar(NamedTuple):
    """What one bar of a cue staff holds.

    Attributes:
        signs: the cued rhythm; empty where nothing is cued.
        label: the source's short name where a cue starts, else "".
        next: who moves next where a cue ends ("P3"), else "".
        source: the source's short name in every bar of its cues.
        clef: "G" or "F" on a staff of five lines; "" on one line without pitches.
    """

    signs: tuple[Sign, ...] = ()
    label: str = ""
    next: str = ""
    source: str = ""
    clef: str = ""

    @property
    def is_seen(self) -> bool:
        """Whether there is a note: a staff of rests is not printed."""
        return any(not sign.rest for sign in self.signs)

    @property
    def words(self) -> tuple[tuple[Sign, str, str], ...]:
        """(sign it stands at, text, style) of the words above: who is shown, and at the last stroke who moves next.

        Of a cue of one note the two are one text, for they would lie over each other.
        """
        onsets = [sign for sign in self.signs if not sign.rest] or list(self.signs[:1])
        follower = f"{ARROW} {self.next}" if self.next else ""
        if self.label and follower and onsets[-1] is self.signs[0]:
            return ((self.signs[0], f"{self.label} {follower}", "italic"),)
        texts = []
        if self.label:
            texts.append((self.signs[0], self.label, "italic"))
        if follower:
            texts.append((onsets[-1], follower, "normal"))
        return tuple(texts)


@dataclass(frozen=True, slots=True)
class BarFrame:
    """What a cue bar takes over from the score's own bar.

    Attributes:
        attributes: of the `<measure>` element.
        before: `<print>` elements and left barlines, copies.
        directions: (quarters in the bar, copy of a `<direction>`) of marks that hold for everyone.
        after: middle and right barlines, copies.
    """

    attributes: Mapping[str, str] = field(default_factory=dict)
    before: tuple[etree._Element, ...] = ()
    directions: tuple[tuple[Fraction, etree._Element], ...] = ()
    after: tuple[etree._Element, ...] = ()


def cue_part(part_id: str, bars: Sequence[Bar], row: Sequence[CueBar], frames: Sequence[BarFrame]) -> etree._Element:
    """A `<part>` for a row of cue bars, one measure a bar.

    Args:
        part_id: its MusicXML id.
        bars: the piece's bars.
        row: what each bar holds.
        frames: what each bar takes over.
    """
    divisions = _divisions(bars, row, frames)
    part = etree.Element("part", id=part_id)
    shown: bool | None = None
    clef = row[0].clef if row else ""
    for bar, cue, frame in zip(bars, row, frames, strict=True):
        measure = etree.SubElement(part, "measure", dict(frame.attributes))
        measure.extend(frame.before)
        before = bars[bar.index - 1] if bar.index else None
        _attributes(measure, bar, before, divisions, bool(cue.signs), shown)
        if before is not None and cue.clef != clef:
            _change_clef(measure, cue.clef)
        shown, clef = bool(cue.signs), cue.clef
        _directions(measure, frame, divisions)
        _music(measure, bar, cue, divisions)
        measure.extend(frame.after)
    if row and row[0].clef:
        _five_lines(part, row[0].clef)
    return part


def _five_lines(part: etree._Element, clef: str) -> None:
    """A staff for pitches in place of a line for rhythms."""
    attributes = part[0].find("attributes")
    assert attributes is not None
    for element in attributes.findall("clef"):
        attributes.remove(element)
    _change_clef(part[0], clef)
    for lines in attributes.iterfind("staff-details/staff-lines"):
        lines.text = "5"


def _divisions(bars: Sequence[Bar], row: Sequence[CueBar], frames: Sequence[BarFrame]) -> int:
    lengths = (bar.length.denominator for bar in bars)
    offsets = (at.denominator for frame in frames for at, _ in frame.directions)
    return lcm(1, *lengths, *offsets, *(divisions_of(cue.signs) for cue in row))


def _attributes(
    measure: etree._Element, bar: Bar, before: Bar | None, divisions: int, shown: bool, was_shown: bool | None
) -> None:
    new_meter = before is None or before.meter.text != bar.meter.text
    if not new_meter and shown == was_shown:
        return
    element = etree.SubElement(measure, "attributes")
    if before is None:
        _text(element, "divisions", divisions)
        _text(etree.SubElement(element, "key", {"print-object": "no"}), "fifths", 0)
    if new_meter:
        _time(element, bar)
    if before is None:
        _text(etree.SubElement(element, "clef"), "sign", "percussion")
    details = etree.SubElement(element, "staff-details", {} if shown else {"print-object": "no"})
    if before is None:
        _text(details, "staff-lines", 1)
        _text(details, "staff-size", STAFF_SIZE)
    if not len(details) and shown:
        details.set("print-object", "yes")


def _change_clef(measure: etree._Element, clef: str) -> None:
    """A clef among a measure's attributes, made where there are none, in the schema's order."""
    attributes = measure.find("attributes")
    if attributes is None:
        attributes = etree.SubElement(measure, "attributes")
    element = etree.Element("clef")
    _text(element, "sign", clef)
    _text(element, "line", 2 if clef == "G" else 4)
    details = attributes.find("staff-details")
    if details is not None:
        details.addprevious(element)
    else:
        attributes.append(element)


def _time(element: etree._Element, bar: Bar) -> None:
    time = etree.SubElement(element, "time", {"print-object": "no"})
    if not bar.meter.text:
        etree.SubElement(time, "senza-misura")
        return
    beats, _, unit = bar.meter.text.rpartition("/")
    if "/" in beats:
        # A meter of several fractions: what matters on a staff that prints none is its length.
        total = bar.meter.length
        beats, unit = str((total * total.denominator).numerator), str(4 * total.denominator)
    _text(time, "beats", beats)
    _text(time, "beat-type", unit)


def _directions(measure: etree._Element, frame: BarFrame, divisions: int) -> None:
    for at, direction in frame.directions:
        for old in direction.findall("offset"):
            direction.remove(old)
        if at:
            offset = etree.Element("offset")
            offset.text = str(int(at * divisions))
            kinds = direction.findall("direction-type")
            kinds[-1].addnext(offset)
        measure.append(direction)


def _music(measure: etree._Element, bar: Bar, cue: CueBar, divisions: int) -> None:
    if not cue.signs:
        note = etree.SubElement(measure, "note", {"print-object": "no"})
        etree.SubElement(note, "rest", measure="yes")
        _text(note, "duration", int(bar.length * divisions))
        _text(note, "voice", 1)
        return
    beams = beams_of(cue.signs, bar)
    words = cue.words
    for index, sign in enumerate(cue.signs):
        measure.extend(_words(text, style) for place, text, style in words if place is sign)
        measure.extend(_grace_note(sign.graces) for _ in range(sign.graces))
        measure.append(_note(sign, divisions, beams.get(index, ())))


def _words(text: str, style: str) -> etree._Element:
    direction = etree.Element("direction", placement="above")
    words = etree.SubElement(etree.SubElement(direction, "direction-type"), "words")
    words.set("font-style", style)
    words.text = text
    _text(direction, "staff", 1)
    return direction


def _grace_note(count: int) -> etree._Element:
    """One of so many grace notes; a single one has a stroke through its flag."""
    note = etree.Element("note")
    etree.SubElement(note, "grace", {"slash": "yes"} if count == 1 else {})
    unpitched = etree.SubElement(note, "unpitched")
    _text(unpitched, "display-step", "E")
    _text(unpitched, "display-octave", 4)
    _text(note, "voice", 1)
    _text(note, "type", "eighth" if count == 1 else "16th")
    _text(note, "stem", "up")
    return note


def _note(sign: Sign, divisions: int, beams: Sequence[str]) -> etree._Element:
    note = etree.Element("note")
    if sign.rest:
        etree.SubElement(note, "rest")
    elif sign.written is not None:
        pitch = etree.SubElement(note, "pitch")
        _text(pitch, "step", sign.written.step)
        if sign.written.alter:
            _text(pitch, "alter", sign.written.alter)
        _text(pitch, "octave", sign.written.octave)
    else:
        unpitched = etree.SubElement(note, "unpitched")
        _text(unpitched, "display-step", "E")
        _text(unpitched, "display-octave", 4)
    _text(note, "duration", int(sign.length * divisions))
    ties = [kind for kind, holds in (("stop", sign.tie_in), ("start", sign.tie_out)) if holds]
    for kind in ties:
        etree.SubElement(note, "tie", type=kind)
    _text(note, "voice", 1)
    _text(note, "type", sign.value)
    for _ in range(sign.dots):
        etree.SubElement(note, "dot")
    if sign.written is not None and sign.written.shown:
        _text(note, "accidental", _ACCIDENTALS[sign.written.alter])
    if sign.tuplet:
        ratio = etree.SubElement(note, "time-modification")
        _text(ratio, "actual-notes", sign.tuplet[0])
        _text(ratio, "normal-notes", sign.tuplet[1])
    if not sign.rest:
        _text(note, "stem", "up")
    for level, kind in enumerate(beams, 1):
        _text(note, "beam", kind).set("number", str(level))
    _notations(note, sign, ties)
    return note


def _notations(note: etree._Element, sign: Sign, ties: Sequence[str]) -> None:
    notations = etree.Element("notations")
    for kind in (*ties, *(["let-ring"] if sign.holds_on else [])):
        etree.SubElement(notations, "tied", type=kind)
    if sign.bracket:
        etree.SubElement(notations, "tuplet", type=sign.bracket)
    if sign.roll or sign.trill:
        ornaments = etree.SubElement(notations, "ornaments")
        if sign.trill:
            etree.SubElement(ornaments, "trill-mark")
        if sign.roll:
            etree.SubElement(ornaments, "tremolo", type="single").text = str(sign.roll)
    if sign.accent:
        etree.SubElement(etree.SubElement(notations, "articulations"), "accent")
    if len(notations):
        note.append(notations)


def _text(parent: etree._Element, tag: str, value: object) -> etree._Element:
    element = etree.SubElement(parent, tag)
    element.text = str(value)
    return element

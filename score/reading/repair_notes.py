"""Faults inside a bar: durations, chords, staves, pitches."""

from fractions import Fraction
from functools import lru_cache

from lxml import etree

from score.reading.bar_lengths import meter_length
from score.reading.note_signs import NoteSigns, note_signs
from score.reading.part_heads import PartHead
from score.reading.reading_log import WarningLog
from score.reading.repair_divisions import note_length
from score.reading.xml_cursor import Element, number

STEPS = "CDEFGAB"
_KINDS = ("pitch", "unpitched", "rest")
_MOST_ALTER = 4


class NoteMender:
    """Mends the bars of one part, one after another.

    Args:
        part: the whole `<part>`, looked at for its number of staves.
        head: its names, for the warnings.
        log: where every repair is noted.
        signs: what notes say that needed no mending, by the notes; it is filled.
    """

    def __init__(self, part: Element, head: PartHead, log: WarningLog, signs: dict[Element, NoteSigns]) -> None:
        self.head, self.log, self.signs = head, log, signs
        self.divisions, self.meter = Fraction(1), Fraction(4)
        self.staves = part_staves(part)
        self.bar = ""
        self.signs_before: NoteSigns | None = None

    def mend(self, measure: Element, bar: str) -> None:
        """Mend one bar in place."""
        self.bar = bar
        before: Element | None = None
        self.signs_before = None
        staff_of_voice: dict[str, str] = {}
        for item in list(measure.iterchildren("*")):
            match item.tag:
                case "note":
                    self._mend_note(item, before, staff_of_voice)
                    before = item
                case "backup" | "forward":
                    self._mend_step(item)
                    before = self.signs_before = None
                case "attributes":
                    self._attributes(item)

    def _say(self, what: str) -> None:
        self.log.add(what, self.head.called, self.bar)

    def _attributes(self, item: Element) -> None:
        self.divisions = number(item.findtext("divisions")) or self.divisions
        time = item.find("time")
        if time is not None:
            length = meter_length(time)
            if length is None:
                self._say("the meter cannot be read; it was left out")
                item.remove(time)
            self.meter = length or self.meter

    def _mend_step(self, item: Element) -> None:
        value = number(item.findtext("duration"))
        if value is None or value < 0:
            self._say(f"a <{item.tag}> has no duration to move by; it was left out")
            _set_text(item, "duration", "0")

    def _mend_note(self, note: Element, before: Element | None, staff_of_voice: dict[str, str]) -> None:
        signs = note_signs(note)
        is_sound = _is_sound(signs, self.signs_before)
        if not is_sound:
            self._mend_kind(note)
            self._mend_chord(note, before)
            self._mend_duration(note, before)
        has_staff = self.staves == 1 or self._mend_staff(note, before, staff_of_voice)
        if not is_sound and note.find("pitch") is not None:
            self._mend_pitch(note)
        self.signs_before = signs if is_sound else note_signs(note)
        if is_sound and has_staff:
            self.signs[note] = signs

    def _mend_kind(self, note: Element) -> None:
        kinds = list(note.iterchildren(*_KINDS))
        if not kinds:
            self._say("a note has neither pitch nor rest; it was read as unpitched")
            note.insert(0, etree.Element("unpitched"))
        for extra in kinds[1:]:
            self._say(f"a note is both {kinds[0].tag} and {extra.tag}; it was read as {kinds[0].tag}")
            note.remove(extra)

    def _mend_chord(self, note: Element, before: Element | None) -> None:
        chord = note.find("chord")
        if chord is None or _can_share(note, before):
            return
        self._say("a chord note has no note before it to sound with; it was read as a note of its own")
        note.remove(chord)

    def _mend_duration(self, note: Element, before: Element | None) -> None:
        stated = note.find("duration")
        if note.find("grace") is not None:
            return
        value = number(None if stated is None else stated.text)
        if value is not None and (value > 0 or (value == 0 and note_length(note) is None)):
            return
        length, why = self._supplied_length(note, before)
        self._say(f"a note has {_fault(stated, value)}; {length} quarters were taken, {why}")
        _set_text(note, "duration", _decimal(length * self.divisions))
        if _decimal_is_inexact(length * self.divisions):
            self._say("a supplied duration could not be written exactly")

    def _supplied_length(self, note: Element, before: Element | None) -> tuple[Fraction, str]:
        length = note_length(note)
        if length is not None and not (note.find("rest") is not None and note.findtext("type") == "whole"):
            return length, "as its value says"
        if note.find("rest") is not None:
            return self.meter, "as for a rest of a whole bar"
        if note.find("chord") is not None and before is not None:
            shared = number(before.findtext("duration"))
            if shared:
                return shared / self.divisions, "as in its chord"
        return Fraction(1), "for want of a value"

    def _mend_staff(self, note: Element, before: Element | None, staff_of_voice: dict[str, str]) -> bool:
        """Whether the note said which staff it is on."""
        voice = note.findtext("voice", "1")
        stated = number(note.findtext("staff"))
        has_staff = stated is not None and 1 <= stated <= self.staves
        if not has_staff:
            shared = before.findtext("staff") if before is not None and note.find("chord") is not None else None
            staff = shared or staff_of_voice.get(voice, "1")
            self._say(f"a note does not say which staff it is on; staff {staff} was taken")
            _set_text(note, "staff", staff)
        staff_of_voice[voice] = note.findtext("staff", "1")
        return has_staff

    def _mend_pitch(self, note: Element) -> None:
        pitch = note.find("pitch")
        assert pitch is not None
        step, octave = (pitch.findtext("step") or "").strip().upper(), number(pitch.findtext("octave"))
        if step not in tuple(STEPS) or octave is None or octave.denominator != 1 or not 0 <= octave <= 9:
            self._say("a pitch cannot be read; the note was read as unpitched")
            for child in list(pitch):
                pitch.remove(child)
            pitch.tag = "unpitched"
            return
        alter = pitch.find("alter")
        if alter is not None:
            self._mend_alter(pitch, alter)

    def _mend_alter(self, pitch: Element, alter: Element) -> None:
        value = number(alter.text)
        if value is None or abs(value) > _MOST_ALTER:
            self._say("an accidental cannot be read; it was left out")
            pitch.remove(alter)
        elif value.denominator != 1:
            # Strokes have whole MIDI numbers; half a semitone goes up, as pitches are rounded elsewhere.
            nearest = (value + Fraction(1, 2)).__floor__()
            self._say("a quarter tone was read as the nearest semitone")
            alter.text = str(nearest)


def _is_sound(signs: NoteSigns, before: NoteSigns | None) -> bool:
    """Whether nothing of a note needs mending, its staff apart; what is doubtful is looked at one by one."""
    if signs.kinds != 1 or (
        signs.chord and (before is None or signs.rest or before.rest or signs.grace != before.grace)
    ):
        return False
    length = number(signs.duration)
    if not signs.grace and (length is None or length.numerator <= 0):
        return False
    return signs.pitch is None or _is_sound_pitch(*signs.pitch)


@lru_cache(maxsize=1024)
def _is_sound_pitch(step: str | None, alter: str | None, octave: str | None) -> bool:
    height, bent = number(octave), number(alter) if alter is not None else Fraction(0)
    if step not in tuple(STEPS) or height is None or height.denominator != 1 or not 0 <= height <= 9:
        return False
    return bent is not None and bent.denominator == 1 and abs(bent) <= _MOST_ALTER


def part_staves(part: Element) -> int:
    """How many staves a part has, by what it states and by what its notes use."""
    stated = [number(item.text) for item in part.iterfind("measure/attributes/staves")]
    used = [number(item.text) for item in part.iterfind("measure/note/staff")]
    whole = [int(value) for value in (*stated, *used) if value is not None and 1 <= value <= 20]
    return max(whole, default=1)


def _can_share(note: Element, before: Element | None) -> bool:
    if before is None or before.find("rest") is not None or note.find("rest") is not None:
        return False
    return (note.find("grace") is None) == (before.find("grace") is None)


def _fault(stated: Element | None, value: Fraction | None) -> str:
    if stated is None:
        return "no duration"
    if value is None:
        return "an unreadable duration"
    return "no length" if value == 0 else "a negative duration"


def _set_text(item: Element, tag: str, text: str) -> None:
    child = item.find(tag)
    if child is None:
        child = etree.SubElement(item, tag)
    child.text = text


def _decimal(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.12f}"


def _decimal_is_inexact(value: Fraction) -> bool:
    return Fraction(_decimal(value)) != value

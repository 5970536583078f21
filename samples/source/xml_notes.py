"""Notes, rests and directions as MusicXML 4.0 elements."""

from collections.abc import Sequence

from engraving import Accidentals, beam_groups, beam_marks, split_pitch, stem
from layout import BarPlan, Encoding, NoteSound, Part, SampleInstrument
from lxml import etree
from notation import DirectionText, Event, Item

DYNAMICS = frozenset(
    ["pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "sf", "sfz", "fp", "fz", "sfp", "rfz", "n"]
)
_CLEFS = {"treble": ("G", 2), "bass": ("F", 4), "percussion": ("percussion", None)}
_ARTICULATIONS = {">": "accent", "^": "strong-accent", "'": "staccato", "-": "tenuto"}


def add(parent: etree._Element, tag: str, text: object = None, **attributes: object) -> etree._Element:
    """A child element; underscores in attribute names stand for hyphens."""
    element = etree.SubElement(parent, tag)
    if text is not None:
        element.text = str(text)
    for name, value in attributes.items():
        element.set(name.replace("_", "-"), str(value))
    return element


def add_clef(attributes: etree._Element, name: str, number: int) -> None:
    """A clef; `number` is its staff's, or 0 where the part has one staff."""
    clef = add(attributes, "clef", **({"number": number} if number else {}))
    sign, line = _CLEFS[name]
    add(clef, "sign", sign)
    if line:
        add(clef, "line", line)


class VoiceWriter:
    """Writes one voice of one part, bar after bar."""

    def __init__(self, part: Part, part_id: str, voice: tuple[int, str], divisions: int) -> None:
        self.part, self.part_id, self.divisions = part, part_id, divisions
        self.staff, self.voice = voice
        self.clef = part.clefs[self.staff - 1]
        # Two voices on one staff keep their stems apart: the first up, the second down.
        on_staff = sorted(name for staff, name in part.music if staff == self.staff)
        self.fixed_stem = "" if len(on_staff) < 2 else ("up" if self.voice == on_staff[0] else "down")
        self.instrument = part.instruments[0]
        self.hairpin = ""

    def write_bar(self, measure: etree._Element, items: Sequence[Item], plan: BarPlan, signs: Accidentals) -> None:
        """Append the items of one bar to its measure element."""
        events = [item for item in items if isinstance(item, Event)]
        groups = beam_groups(events, plan.groups)
        beams = {at: marks for group in groups for at, marks in beam_marks(events, group).items()}
        stems = self._stems(events, groups)
        number = 0
        for item in items:
            if isinstance(item, DirectionText):
                self._direction(measure, item)
                continue
            if item.grace:
                self._note(
                    measure, Event(item.at, item.length, (item.grace,), value="eighth"), "up", (), signs, grace=True
                )
            self._note(measure, item, stems[number], beams.get(number, ()), signs)
            number += 1

    def _stems(self, events: Sequence[Event], groups: Sequence[Sequence[int]]) -> list[str]:
        stems = [self._stem(event.pitches) if event.pitches else "" for event in events]
        for group in groups:
            places = [pitch for index in group for pitch in events[index].pitches]
            for index in group:
                stems[index] = self._stem(places)
        return stems

    def _stem(self, pitches: Sequence[str]) -> str:
        if self.fixed_stem or self.part.lines == 1:
            return self.fixed_stem or "up"
        return stem([self.part.sounds[p].place if p in self.part.sounds else p for p in pitches], self.clef)

    def _note(
        self,
        measure: etree._Element,
        event: Event,
        stem_way: str,
        beams: Sequence[str],
        signs: Accidentals,
        grace: bool = False,
    ) -> None:
        for index, pitch in enumerate(event.pitches or ("",)):
            note = add(measure, "note")
            if grace:
                add(note, "grace", slash="yes")
            if index:
                add(note, "chord")
            sound = self.part.sounds.get(pitch)
            self._pitch(note, event, pitch, sound)
            self._length(note, event, grace)
            if pitch and self.part.encoding is Encoding.IDS and len(self._all_instruments()) > 1:
                add(note, "instrument", id=self.instrument_id(self._instrument_of(sound)))
            self._look(note, event, pitch, sound, stem_way, beams if index == 0 else (), signs)
            self._notations(note, event, index)

    def _pitch(self, note: etree._Element, event: Event, pitch: str, sound: NoteSound | None) -> None:
        if not pitch:
            add(note, "rest", **({"measure": "yes"} if event.whole_bar else {}))
            return
        step, alter, octave = split_pitch(sound.place if sound else pitch)
        if sound and self.part.encoding is not Encoding.PITCHES:
            unpitched = add(note, "unpitched")
            add(unpitched, "display-step", step)
            add(unpitched, "display-octave", octave)
            return
        written = add(note, "pitch")
        add(written, "step", step)
        if alter:
            add(written, "alter", alter)
        add(written, "octave", octave)

    def _length(self, note: etree._Element, event: Event, grace: bool) -> None:
        if grace:
            return
        add(note, "duration", int(event.length * self.divisions))
        if event.tied_from:
            add(note, "tie", type="stop")
        if "~" in event.marks:
            add(note, "tie", type="start")

    def _look(
        self,
        note: etree._Element,
        event: Event,
        pitch: str,
        sound: NoteSound | None,
        stem_way: str,
        beams: Sequence[str],
        signs: Accidentals,
    ) -> None:
        add(note, "voice", self.voice)
        if not event.whole_bar:
            add(note, "type", event.value)
        for _ in range(event.dots):
            add(note, "dot")
        accidental = signs.needed(pitch, event.tied_from) if pitch and not sound else None
        if accidental:
            add(note, "accidental", accidental)
        if event.tuplet:
            modification = add(note, "time-modification")
            add(modification, "actual-notes", event.tuplet[0])
            add(modification, "normal-notes", event.tuplet[1])
        if pitch and event.value != "whole":
            add(note, "stem", stem_way)
        notehead = "x" if "!" in event.marks else sound.notehead if sound else "normal"
        if pitch and notehead != "normal":
            add(note, "notehead", notehead)
        if len(self.part.clefs) > 1:
            add(note, "staff", self.staff)
        for level, beam in enumerate(beams, start=1):
            add(note, "beam", beam, number=level)

    def _notations(self, note: etree._Element, event: Event, index: int) -> None:
        notations = etree.Element("notations")
        if event.tied_from:
            add(notations, "tied", type="stop")
        if "~" in event.marks:
            add(notations, "tied", type="start")
        if "*" in event.marks:
            add(notations, "tied", type="let-ring")
        if index == 0:
            _first_note_notations(notations, event)
        if index < len(event.sticking):
            add(add(notations, "technical"), "fingering", event.sticking[index], placement="above")
        if len(notations):
            note.append(notations)

    def _direction(self, measure: etree._Element, item: DirectionText) -> None:
        kind, _, name = item.text.partition(":")
        if kind in ("to", "clef"):
            (self._change if kind == "to" else self._new_clef)(measure, name)
            return
        below = item.text in DYNAMICS or item.text in "<>!"
        direction = add(measure, "direction", placement="below" if below else "above")
        content = add(direction, "direction-type")
        if item.text in DYNAMICS:
            add(add(content, "dynamics"), item.text)
        elif item.text in "<>!":
            self._wedge(content, item.text)
        elif item.text == "damp":
            add(content, "damp")
        else:
            add(content, "words", item.text.replace("_", " "))
        self._where(direction)

    def _wedge(self, content: etree._Element, sign: str) -> None:
        if (sign == "!") != bool(self.hairpin):
            raise ValueError(f"{self.part.name}: hairpin {sign} after {self.hairpin or 'none'}")
        self.hairpin = "" if sign == "!" else sign
        add(content, "wedge", type={"<": "crescendo", ">": "diminuendo", "!": "stop"}[sign])

    def _change(self, measure: etree._Element, key: str) -> None:
        old, self.instrument = self.instrument, next(i for i in self.part.instruments if i.key == key)
        direction = add(measure, "direction", placement="above")
        add(add(direction, "direction-type"), "words", f"to {self.instrument.name.lower()}", font_style="italic")
        self._where(direction)
        if self.part.encoding is Encoding.IDS:
            change = add(add(direction, "sound"), "instrument-change", id=self.instrument_id(self.instrument))
            add(change, "instrument-sound", self.instrument.sound)
        if old.octaves != self.instrument.octaves:
            transpose = add(add(measure, "attributes"), "transpose")
            add(transpose, "diatonic", 0)
            add(transpose, "chromatic", 0)
            add(transpose, "octave-change", self.instrument.octaves)

    def _new_clef(self, measure: etree._Element, name: str) -> None:
        self.clef = name
        add_clef(add(measure, "attributes"), name, self.staff if len(self.part.clefs) > 1 else 0)

    def _where(self, direction: etree._Element) -> None:
        add(direction, "voice", self.voice)
        if len(self.part.clefs) > 1:
            add(direction, "staff", self.staff)

    def _all_instruments(self) -> tuple[SampleInstrument, ...]:
        return self.part.instruments

    def _instrument_of(self, sound: NoteSound | None) -> SampleInstrument:
        if sound is None:
            return self.instrument
        return next(i for i in self.part.instruments if i.key == sound.instrument)

    def instrument_id(self, instrument: SampleInstrument) -> str:
        """The XML id of one of the part's instruments."""
        return f"{self.part_id}-I{self.part.instruments.index(instrument) + 1}"


def _first_note_notations(notations: etree._Element, event: Event) -> None:
    """What stands once for a whole chord."""
    for edge in ("start", "stop"):
        if event.edge == edge:
            add(notations, "tuplet", type=edge, bracket="yes", show_number="both")
    if "%" in event.marks:
        add(add(notations, "ornaments"), "tremolo", 3, type="single")
    names = [name for mark, name in _ARTICULATIONS.items() if mark in event.marks]
    if names:
        articulations = add(notations, "articulations")
        for name in names:
            add(articulations, name)
    if "@" in event.marks:
        add(notations, "fermata", type="upright")

"""Which instrument each note of a part is played on.

In order of trust: the instrument a note refers to where the part has several; words and percussion signs
on the page ("to crotales", "susp. cym."); the part's name, the name and sound of its only instrument, and
its MIDI numbers. A label over an unpitched note speaks for its place on the staff from there on, so that a
five-line staff with its instruments named once each comes out as a kit; a change ("to ...") speaks for all.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.instruments.percussion import Percussion, of_sound, sizes
from score.piece import Instrument
from score.reading.direction_words import instrument_in, pieces
from score.reading.directions import Direction
from score.reading.instrument_naming import base_instrument, is_doubtful, listed_instrument
from score.reading.note_signs import NoteSigns
from score.reading.part_heads import ListedInstrument
from score.reading.part_scan import PartScan, WrittenNote
from score.reading.pictograms import pictogram
from score.reading.stray_clefs import PERCUSSIVE

_Key = tuple[str, str]


class Naming(NamedTuple):
    """Words or a sign that name an instrument at a place."""

    bar: int
    at: Fraction
    staff: int
    percussion: Percussion
    text: str
    change: bool


class Kit(NamedTuple):
    """The instruments of a part.

    Attributes:
        instruments: in order of first use.
        of_note: index into them by note id.
        namings: the words and signs that named one, by place.
    """

    instruments: tuple[Instrument, ...]
    of_note: dict[int, int]
    namings: tuple[Naming, ...]


def part_kit(scan: PartScan, directions: Sequence[Direction]) -> Kit:
    """Tell the instrument of every note of a part."""
    base = base_instrument(scan)
    namings = _namings(directions) if is_percussive(scan, base) else []
    assigner = _Assigner(scan, base, namings, directions)
    return Kit(*assigner.run(), tuple(namings))


def is_percussive(scan: PartScan, base: Instrument) -> bool:
    """Whether a part is a percussionist's, so that instrument names in its words are changes."""
    return (
        bool(base.key)
        or bool(PERCUSSIVE.search(scan.head.name))
        or any(note.clef == "percussion" or note.signs.unpitched is not None for note in scan.notes)
    )


def _namings(directions: Sequence[Direction]) -> list[Naming]:
    namings: list[Naming] = []
    for direction in directions:
        if direction.tag == "words":
            for piece in pieces(direction.text):
                said = instrument_in(piece)
                if said is not None:
                    namings.append(_naming(direction, said.percussion, said.text, said.change))
        elif direction.tag == "percussion":
            shown = pictogram(direction.element)
            if shown is not None:
                namings.append(_naming(direction, shown, shown.name, False))
    return namings


def _naming(direction: Direction, percussion: Percussion, text: str, change: bool) -> Naming:
    return Naming(direction.bar, direction.at, direction.staff, percussion=percussion, text=text, change=change)


_CROSSES = frozenset({"x", "circle-x", "cross"})


class _Assigner:
    """Goes through a part in order of time and keeps what has been said so far."""

    def __init__(
        self, scan: PartScan, base: Instrument, namings: Sequence[Naming], directions: Sequence[Direction]
    ) -> None:
        self.scan, self.current = scan, base
        self.namings = list(namings)
        self.changes = [item for item in directions if item.tag == "sound"]
        self.listed = dict(scan.head.instruments)
        self.by_reference = len({note.signs.instrument for note in scan.notes} - {""}) > 1
        self.instruments: list[Instrument] = []
        self.by_listing: dict[ListedInstrument, Instrument] = {}
        self.of_note: dict[int, int] = {}
        self.labels: dict[_Key, Instrument] = {}
        self.waiting: list[Naming] = []

    def run(self) -> tuple[tuple[Instrument, ...], dict[int, int]]:
        notes = sorted(self.scan.notes, key=lambda note: (note.bar, note.at, note.id))
        for note in notes:
            while self.changes and (self.changes[0].bar, self.changes[0].at) <= (note.bar, note.at):
                self._sound_change(self.changes.pop(0))
            while self.namings and (self.namings[0].bar, self.namings[0].at) <= (note.bar, note.at):
                self._name(self.namings.pop(0))
            self.of_note[note.id] = self._index(self._instrument_of(note))
        return tuple(self.instruments), self.of_note

    def _sound_change(self, direction: Direction) -> None:
        """`<instrument-change>`: the part's instrument of that id is another one from here on."""
        for change in direction.element.iterfind("instrument-change"):
            id_, sound = change.get("id", ""), (change.findtext("instrument-sound") or "").strip()
            before = self.listed.get(id_, ListedInstrument(id_, ""))
            percussion = of_sound(sound)
            if percussion is not None:
                self.listed[id_] = ListedInstrument(
                    id_, percussion.name, sound, midi_unpitched=percussion.midi_unpitched
                )
            else:
                self.listed[id_] = before._replace(sound=sound or before.sound)
            if not self.by_reference:
                self.current = self._called(self.listed[id_])
                self.labels.clear()

    def _name(self, naming: Naming) -> None:
        if naming.change:
            self._change_to(naming)
        else:
            self.waiting.append(naming)

    def _change_to(self, naming: Naming) -> None:
        self.current = self._named(naming)
        self.labels.clear()
        self.waiting.clear()

    def _named(self, naming: Naming) -> Instrument:
        """The instrument of this kind that was named before, unless sizes tell them apart ("high", "low")."""
        for instrument in (*self.instruments, self.current):
            told = sizes(naming.text), sizes(instrument.name)
            if instrument.key == naming.percussion.key and (told[0] == told[1] or not all(told)):
                return instrument
        kind = naming.percussion
        return Instrument(kind.key, naming.text, kind.sound, pitched=kind.pitched, midi_unpitched=kind.midi_unpitched)

    def _instrument_of(self, note: WrittenNote) -> Instrument:
        if self.by_reference:
            listed = self.listed.get(note.signs.instrument)
            if listed is not None:
                return self._called(listed)
        if self.waiting:
            self._settle_labels(note)
        return self.labels.get(_place_key(note), self.current) if self.labels else self.current

    def _called(self, listed: ListedInstrument) -> Instrument:
        """What a listed instrument is; asked once for each, not once a note."""
        if listed not in self.by_listing:
            instrument = listed_instrument(listed, self.scan.head)
            if is_doubtful(instrument, listed) and self._is_crossed(listed):
                instrument = instrument._replace(name=f"{instrument.name}?")
            self.by_listing[listed] = instrument
        return self.by_listing[listed]

    def _is_crossed(self, listed: ListedInstrument) -> bool:
        """Whether every note of a listed instrument has an x for a head, as cymbals have."""
        heads = {note.signs.notehead for note in self.scan.notes if note.signs.instrument == listed.id}
        return bool(heads) and heads <= _CROSSES

    def _settle_labels(self, note: WrittenNote) -> None:
        """What waits for a note to speak for: its place on the staff, its notehead, or everything."""
        for naming in [item for item in self.waiting if item.staff == note.staff or self.scan.staves == 1]:
            key = _place_key(note)
            if naming.percussion.pitched or key == ("", "") or note.lines == 1:
                self._change_to(naming)
                return
            self.labels[key] = self._named(naming)
            self.waiting.remove(naming)
            return

    def _index(self, instrument: Instrument) -> int:
        if instrument not in self.instruments:
            self.instruments.append(instrument)
        return self.instruments.index(instrument)


def _place_key(note: WrittenNote) -> _Key:
    """What a label can speak for: the place of an unpitched note, the notehead of a pitched one, or all."""
    if note.clef == "percussion" or note.signs.pitch is None:
        return written_place(note.signs), "unpitched"
    head = note.signs.notehead
    return ("", "") if head == "normal" else ("", head)


def written_place(signs: NoteSigns) -> str:
    """Where a note stands on the staff ("E4"), whatever it sounds."""
    if signs.pitch is not None:
        step, _, octave = signs.pitch
        return f"{(step or '').strip().upper()}{(octave or '').strip()}"
    shown = signs.unpitched or (None, None)
    step, octave = (shown[0] or "").strip().upper(), (shown[1] or "").strip()
    # MusicXML 4.0, unpitched: without a display pitch the note stands on the middle line.
    return f"{step}{octave}" if step in tuple("ABCDEFG") and octave.isdecimal() and len(octave) == 1 else "B4"

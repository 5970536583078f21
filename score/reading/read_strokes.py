"""Written notes to strokes: ties joined, chords gathered, rolls and graces told apart."""

from collections.abc import Callable, Container, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.piece import Instrument, Segment, Stroke, StrokeKind
from score.reading.direction_words import is_let_ring
from score.reading.directions import Direction
from score.reading.dynamic_marks import DynamicsInForce
from score.reading.marks import damp_places
from score.reading.note_instruments import Kit, written_place
from score.reading.note_readings import NoteReading
from score.reading.part_scan import PartScan, WrittenNote
from score.reading.printed_stickings import Stickings
from score.reading.roll_marks import Rolls
from score.reading.ties import Sound, lets_ring

_Place = tuple[int, Fraction, int]
Chain = tuple[WrittenNote, ...]

_NOT_ARTICULATIONS = ("breath-mark", "caesura")


class PartNotes(NamedTuple):
    """All that is known of a part's notes.

    Attributes:
        scan, kit, rolls: as their modules give them.
        readings: what each note says, by note id.
        sounds: sounding pitch, or None and the written place, by note id.
    """

    scan: PartScan
    kit: Kit
    rolls: Rolls
    readings: Mapping[int, NoteReading]
    sounds: Mapping[int, Sound]


def sounds_of(
    scan: PartScan, kit: Kit, readings: Mapping[int, NoteReading], octaves: Mapping[int, int]
) -> dict[int, Sound]:
    """What each note sounds: its pitch, or None and its written place when it is unpitched.

    Args:
        scan: the part.
        kit: its instruments.
        readings: pitches by note id.
        octaves: to be added by index of the instrument where the score leaves its transposition out.
    """
    sounds: dict[int, Sound] = {}
    for note in scan.notes:
        instrument = kit.instruments[kit.of_note[note.id]]
        pitch = readings[note.id].pitch
        if pitch is None or not is_pitched(note, instrument):
            sounds[note.id] = None, written_place(note.signs)
        else:
            sounds[note.id] = pitch + 12 * octaves.get(kit.of_note[note.id], 0), ""
    return sounds


def is_pitched(note: WrittenNote, instrument: Instrument) -> bool:
    """Whether a note has a sounding pitch: it is written as one and is not played on an unpitched instrument."""
    if note.signs.pitch is None or not instrument.pitched:
        return False
    return bool(instrument.key) or note.clef != "percussion"


class StrokeMaker:
    """Makes the strokes of one part."""

    def __init__(self, part: PartNotes, directions: Sequence[Direction], in_force: DynamicsInForce) -> None:
        self.part, self.in_force = part, in_force
        self.damps = damp_places(part.scan, directions)
        self.stickings = Stickings(part.scan, directions)
        self.words = _texts(directions, lambda _: True)
        self.rings = _texts(directions, is_let_ring)

    def strokes(self, chains: Mapping[int, Chain]) -> list[Stroke]:
        """One stroke for each struck chord, or for each group of its notes that end together."""
        pairs = self.part.rolls.pairs
        first_of = {second: first for first, second in pairs.items()} | {first: first for first in pairs}
        groups: dict[tuple[object, ...], list[Chain]] = {}
        for struck, chain in chains.items():
            note = chain[0]
            pitched = self.part.sounds[struck][0] is not None
            key: tuple[object, ...] = ("two notes", first_of.get(note.chord), pitched)
            if note.chord not in first_of:
                lasts = _lasts(chain)
                key = (note.chord, note.staff, self.part.kit.of_note[struck], note.grace, pitched, lasts)
            groups.setdefault(key, []).append(chain)
        return [self._stroke(group) for group in groups.values()]

    def _stroke(self, group: Sequence[Chain]) -> Stroke:
        chains, first = group, group[0][0]
        if len(group) > 1:
            chains = sorted(group, key=lambda chain: self._rank(chain[0]))
            first = min((chain[0] for chain in group), key=lambda note: (note.bar, note.at, note.id))
        notes = [chain[0] for chain in chains]
        segments = () if first.grace else _segments(chains)
        kind, marks = self._kind(first, chains)
        sounds = [self.part.sounds[note.id] for note in notes]
        place = (first.bar, first.at, first.staff)
        return Stroke(
            first.bar,
            first.at,
            sum((segment.length for segment in segments[1:]), segments[0].length) if segments else Fraction(0),
            pitches=tuple(sorted({pitch for pitch, _ in sounds if pitch is not None})),
            kind=kind,
            instrument=self.part.kit.of_note[first.id],
            segments=segments,
            part=self.part.scan.head.index,
            staff=first.staff,
            voice=first.voice,
            places=tuple(dict.fromkeys(written for pitch, written in sounds if pitch is None)),
            noteheads=tuple(note.signs.notehead for note in notes),
            dynamic=self.in_force.at(*place),
            articulations=_articulations(notes),
            stickings=self._sticking(notes, place),
            roll_marks=marks,
            let_ring=any(lets_ring(note) for chain in chains for note in chain) or self._stands(self.rings, place),
            damp=self._stands(self.damps, place) or self._stands(self.damps, (*place[:2], 0)),
            tuplet=None if first.chord in self.part.rolls.pairs else self.part.readings[first.id].tuplet,
            words=self.words.get(place, ()),
        )

    @staticmethod
    def _stands(places: Container[_Place], place: _Place) -> bool:
        """Whether a place is among some; most parts have none, and exact places are slow to look up."""
        return bool(places) and place in places

    def _rank(self, note: WrittenNote) -> tuple[int, int]:
        pitch, written = self.part.sounds[note.id]
        return (pitch if pitch is not None else staff_step(written)), note.id

    def _kind(self, first: WrittenNote, chains: Sequence[Chain]) -> tuple[StrokeKind, int]:
        if first.grace:
            return StrokeKind.GRACE, 0
        rolled = [note.chord for chain in chains for note in chain if note.chord in self.part.rolls.marks]
        if rolled:
            return StrokeKind.ROLL, self.part.rolls.marks[rolled[0]]
        return StrokeKind.STROKE, 0

    def _sticking(self, notes: Sequence[WrittenNote], place: _Place) -> tuple[str, ...]:
        printed = [text for note in notes for text in self.stickings.of_note(note)]
        by_words = self.stickings.at_place(*place)
        return tuple(printed) if printed or not by_words else (by_words,)


def staff_step(written: str) -> int:
    """A number that grows with the written place ("E4"), diatonic steps from C0."""
    return "CDEFGAB".index(written[0]) + 7 * int(written[1:])


def _lasts(chain: Chain) -> tuple[object, ...]:
    """What the notes of a chord must have in common to be one stroke: how long they last, ties joined."""
    if len(chain) == 1:
        return chain[0].length.as_integer_ratio()
    return tuple((tied.bar, tied.at, tied.length) for tied in chain)


def _segments(chains: Sequence[Chain]) -> tuple[Segment, ...]:
    if len(chains) == 1:
        return tuple(Segment(note.bar, note.at, note.length) for note in chains[0])
    segments = {Segment(note.bar, note.at, note.length) for chain in chains for note in chain}
    return tuple(sorted(segments, key=lambda segment: (segment.bar, segment.at)))


def _articulations(notes: Sequence[WrittenNote]) -> tuple[str, ...]:
    names = [
        str(mark.tag) for note in notes for marks in note.marks("articulations") for mark in marks.iterchildren("*")
    ]
    return tuple(name for name in dict.fromkeys(names) if name not in _NOT_ARTICULATIONS)


def _texts(directions: Sequence[Direction], wanted: Callable[[str], bool]) -> dict[_Place, tuple[str, ...]]:
    texts: dict[_Place, tuple[str, ...]] = {}
    for item in directions:
        if item.tag == "words" and item.text and wanted(item.text):
            place = (item.bar, item.at, item.staff)
            texts[place] = (*texts.get(place, ()), item.text)
    return texts

"""One part of a repaired score to strokes, rests, dynamics, spans and marks."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.instruments.percussion import all_percussion
from score.piece import Dynamic, Instrument, Mark, Rest, Span, Stroke
from score.reading.directions import part_directions
from score.reading.dynamic_marks import DynamicsInForce, part_dynamics
from score.reading.instrument_naming import UNKNOWN
from score.reading.marks import part_marks
from score.reading.note_instruments import Kit, is_percussive, part_kit
from score.reading.note_readings import NoteReading, note_readings
from score.reading.part_heads import PartHead
from score.reading.part_scan import PartScan, scan_part
from score.reading.read_strokes import PartNotes, StrokeMaker, is_pitched, sounds_of
from score.reading.reading_log import WarningLog
from score.reading.roll_marks import part_rolls
from score.reading.spans import part_spans
from score.reading.stray_clefs import without_stray_clefs
from score.reading.ties import tie_chains
from score.reading.written_ranges import written_range
from score.reading.xml_cursor import Element


class ReadPart(NamedTuple):
    """What one part holds; instruments of strokes are indices into its own list.

    Attributes:
        head: its names.
        instruments, strokes, rests, dynamics, spans, marks: as in `score.piece.Player`.
    """

    head: PartHead
    instruments: tuple[Instrument, ...]
    strokes: tuple[Stroke, ...]
    rests: tuple[Rest, ...]
    dynamics: tuple[Dynamic, ...]
    spans: tuple[Span, ...]
    marks: tuple[Mark, ...]


def read_part(
    part: Element, head: PartHead, lengths: Sequence[Fraction], log: WarningLog, notes_log: WarningLog
) -> ReadPart:
    """One `<part>` of a repaired score.

    Args:
        part: the part.
        head: its names.
        lengths: notated length of every bar of the score, quarters.
        log: notes what had to be supplied or left out.
        notes_log: notes the same of pitches and ties, which are told when every part has been read.
    """
    scan = without_stray_clefs(scan_part(part, head, lengths, log), log)
    directions = part_directions(scan)
    kit = part_kit(scan, directions)
    percussive = any(is_percussive(scan, instrument) for instrument in kit.instruments)
    _say_doubts(kit, head, log)
    rolls = part_rolls(scan, log)
    dynamics = tuple(part_dynamics(scan, directions))
    readings = _within_range(scan, note_readings(scan.notes), notes_log)
    sounds = sounds_of(scan, kit, readings, _missing_octaves(scan, kit, readings, notes_log))
    notes = PartNotes(scan, kit, rolls, readings=readings, sounds=sounds)
    maker = StrokeMaker(notes, directions, DynamicsInForce(dynamics))
    return ReadPart(
        scan.head,
        kit.instruments,
        strokes=tuple(maker.strokes(tie_chains(scan, sounds, notes_log))),
        rests=tuple(_rests(scan)),
        dynamics=dynamics,
        spans=tuple(part_spans(scan, directions, dynamics, log)),
        marks=tuple(part_marks(scan, directions, kit, percussive)),
    )


def _say_doubts(kit: Kit, head: PartHead, log: WarningLog) -> None:
    """Instruments that nothing names, or only a number of a MIDI program."""
    for name in dict.fromkeys(each.name for each in kit.instruments if each.name.endswith("?")):
        taken = "" if name == UNKNOWN else f"; its MIDI program says {name.removesuffix('?').lower()}"
        log.add(f"no name says what this is played on{taken}", head.called)


def _rests(scan: PartScan) -> list[Rest]:
    return [
        Rest(
            rest.bar,
            rest.at,
            rest.length,
            part=scan.head.index,
            staff=rest.staff,
            voice=rest.voice,
            whole_bar=rest.whole_bar,
        )
        for rest in scan.rests
    ]


def _within_range(scan: PartScan, readings: dict[int, NoteReading], log: WarningLog) -> dict[int, NoteReading]:
    """What notes say; a pitch that MIDI has not is said and left out."""
    outside = [note for note in scan.notes if not 0 <= (readings[note.id].pitch or 0) <= 127]
    for note in outside:
        log.add("a note sounds outside MIDI's range; it was read as unpitched", scan.head.called, scan.labels[note.bar])
    return {**readings, **{note.id: readings[note.id]._replace(pitch=None) for note in outside}}


def _missing_octaves(scan: PartScan, kit: Kit, readings: dict[int, NoteReading], log: WarningLog) -> dict[int, int]:
    """Octaves to add, by instrument, where a score writes an octave instrument without its transposition.

    A glockenspiel may be written without `<transpose>` at its printed pitch, or at sounding pitch. What fits
    the instrument's written range is taken as written; what only fits above it, as sounding.
    """
    octaves: dict[int, int] = {}
    for index, instrument in enumerate(kit.instruments):
        percussion = all_percussion().get(instrument.key)
        if percussion is None or not percussion.pitched or not percussion.octaves:
            continue
        notes = [note for note in scan.notes if kit.of_note[note.id] == index and is_pitched(note, instrument)]
        pitches = [pitch for note in notes if (pitch := readings[note.id].pitch) is not None]
        if not pitches or any(note.transpose is not None for note in notes):
            continue
        if max(pitches) <= written_range(instrument.key).stop - 1:
            octaves[index] = percussion.octaves
            up = {1: "an octave", 2: "two octaves"}[percussion.octaves]
            log.add(
                f"no transposition is given for {instrument.name}; it was read as sounding {up} higher",
                scan.head.called,
            )
        else:
            log.add(f"{instrument.name} is written above its range; it was read at sounding pitch", scan.head.called)
    return octaves

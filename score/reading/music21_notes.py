"""What music21 reads from notes: sounding pitch and tuplet ratio, length as a check.

music21 gets a lean copy: one note of each kind, one after another in one long bar, with nothing beside them.
Positions come from `score.reading.xml_cursor`; with bars, voices, chords and directions out of its way, music21
neither shifts nor drops a note, and its time does not grow with the square of the bars. Each note carries a number
as its colour, by which what music21 says of it is joined back. This is the one place that imports music21.
"""

import xml.etree.ElementTree as ElementTree
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from math import lcm
from typing import Any

from score.reading.note_kinds import HeardNote, NoteKind

_MOST_NOTES_A_RUN = 2_000
_MOST_DIVISIONS = 10**9


def hear(kinds: Collection[NoteKind]) -> dict[NoteKind, HeardNote]:
    """music21's reading of notes of these kinds.

    Args:
        kinds: of repaired notes: steps, octaves and durations can be read.
    """
    notes = {kind: heard for kind in kinds if (heard := _heard_before.get(kind)) is not None}
    new = sorted(set(kinds) - notes.keys())
    numbers = {kind: position for position, kind in enumerate(new)}
    for run in _runs(new):
        read = _read(run, numbers)
        notes.update((kind, read[numbers[kind]]) for kind in run[1])
    if len(_heard_before) > _MOST_KEPT:
        _heard_before.clear()
    _heard_before.update(notes)
    return notes


_heard_before: dict[NoteKind, HeardNote] = {}
"""Notes of the same kind are heard the same in every score: each is read once."""
_MOST_KEPT = 20_000


def _runs(kinds: Sequence[NoteKind]) -> Iterator[tuple[int, list[NoteKind]]]:
    """(divisions, notes) of one transposition each, cut where they would need too fine divisions."""
    for _, same in groupby(kinds, key=lambda kind: kind.semitones):
        run: list[NoteKind] = []
        divisions = 1
        for kind in same:
            finer = lcm(divisions, kind.length.denominator)
            if run and (finer > _MOST_DIVISIONS or len(run) >= _MOST_NOTES_A_RUN):
                yield divisions, run
                run, finer = [], kind.length.denominator
            run.append(kind)
            divisions = finer
        if run:
            yield divisions, run


def _read(run: tuple[int, list[NoteKind]], numbers: dict[NoteKind, int]) -> dict[int, HeardNote]:
    from music21 import stream
    from music21.musicxml.xmlToM21 import MusicXMLImporter

    divisions, kinds = run
    score = stream.Score()
    MusicXMLImporter().xmlRootToScore(_lean(divisions, kinds, numbers), score)
    part = score.parts[0]
    if kinds[0].semitones:
        part.toSoundingPitch(inPlace=True)
    return {int(note.style.color[1:], 16): _heard(note) for note in part.recurse().notes}


def _heard(note: Any) -> HeardNote:
    pitch = int(note.pitch.ps // 1) if note.isNote else None
    tuplets = note.duration.tuplets
    ratio = (int(tuplets[0].numberNotesActual), int(tuplets[0].numberNotesNormal)) if tuplets else None
    return HeardNote(pitch, Fraction(note.duration.quarterLength), ratio)


def _lean(divisions: int, kinds: Sequence[NoteKind], numbers: dict[NoteKind, int]) -> ElementTree.Element:
    root = ElementTree.Element("score-partwise", version="4.0")
    listed = ElementTree.SubElement(ElementTree.SubElement(root, "part-list"), "score-part", id="P1")
    ElementTree.SubElement(listed, "part-name")
    measure = ElementTree.SubElement(ElementTree.SubElement(root, "part", id="P1"), "measure", number="1")
    attributes = ElementTree.SubElement(measure, "attributes")
    _text(attributes, "divisions", divisions)
    if kinds[0].semitones:
        _text(ElementTree.SubElement(attributes, "transpose"), "chromatic", kinds[0].semitones)
    for kind in kinds:
        measure.append(_lean_note(kind, numbers[kind], divisions))
    measure.append(_closing_rest(divisions))
    return root


def _closing_rest(divisions: int) -> ElementTree.Element:
    """Five quarters: music21 assumes bars of four, mistrusts a bar slightly longer and divides by an empty one."""
    lean = ElementTree.Element("note")
    ElementTree.SubElement(lean, "rest")
    _text(lean, "duration", 5 * divisions)
    return lean


def _lean_note(kind: NoteKind, number: int, divisions: int) -> ElementTree.Element:
    lean = ElementTree.Element("note", color=f"#{number:08X}")
    if kind.grace:
        ElementTree.SubElement(lean, "grace")
    if kind.step:
        _lean_pitch(lean, kind)
    else:
        ElementTree.SubElement(lean, "unpitched")
    if not kind.grace:
        _text(lean, "duration", int(kind.length * divisions))
    if kind.type:
        _text(lean, "type", kind.type)
    for _ in range(kind.dots):
        ElementTree.SubElement(lean, "dot")
    if kind.actual:
        ratio = ElementTree.SubElement(lean, "time-modification")
        _text(ratio, "actual-notes", kind.actual)
        _text(ratio, "normal-notes", kind.normal)
    return lean


def _lean_pitch(lean: ElementTree.Element, kind: NoteKind) -> None:
    into = ElementTree.SubElement(lean, "pitch")
    _text(into, "step", kind.step)
    if kind.alter:
        _text(into, "alter", kind.alter)
    _text(into, "octave", kind.octave)


def _text(into: ElementTree.Element, tag: str, value: object) -> None:
    ElementTree.SubElement(into, tag).text = str(value)

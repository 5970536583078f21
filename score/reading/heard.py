"""What music21 reads from the notes: sounding pitch and tuplet ratio, length as a check.

music21 gets a lean copy: one note of each different kind (pitch, value, dots, tuplet, length, transposition),
one after another in one long bar, with nothing beside them. Positions come from `score.reading.cursor`; with
bars, voices, chords and directions out of its way, music21 neither shifts nor drops a note, and its time does
not grow with the square of the bars. Each note carries a number as its colour, by which what music21 says of
it is joined back. This is the one place that imports music21.
"""

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from math import lcm
from typing import Any, NamedTuple

from score.beats import value_length
from score.reading.cursor import Element, number
from score.reading.scan import WrittenNote

_MOST_NOTES_A_RUN = 2_000
_MOST_DIVISIONS = 10**9
_MOST_TUPLET = 1_000
_MOST_SEMITONES = 60


@dataclass(frozen=True, slots=True)
class Heard:
    """What music21 says of one note.

    Attributes:
        pitch: sounding MIDI number, None when unpitched.
        length: quarters; 0 for a grace note.
        tuplet: (actual, normal), or None.
    """

    pitch: int | None
    length: Fraction
    tuplet: tuple[int, int] | None


class _Kind(NamedTuple):
    """All that distinguishes notes here; texts as the document has them, already checked."""

    semitones: int
    grace: bool
    step: str
    alter: str
    octave: str
    length: Fraction
    type: str
    dots: int
    actual: str
    normal: str


def hear(notes: Sequence[WrittenNote]) -> dict[int, Heard]:
    """music21's reading of the notes of one part, by note id.

    Args:
        notes: of one part, repaired: steps, octaves and durations can be read.
    """
    kinds = {note.id: _kind(note) for note in notes}
    known = {kind: heard for kind in set(kinds.values()) if (heard := _heard_before.get(kind)) is not None}
    new = sorted(set(kinds.values()) - known.keys())
    numbers = {kind: position for position, kind in enumerate(new)}
    for run in _runs(new):
        read = _read(run, numbers)
        known.update((kind, read[numbers[kind]]) for kind in run[1])
    if len(_heard_before) > _MOST_KEPT:
        _heard_before.clear()
    _heard_before.update(known)
    return {id_: known[kind] for id_, kind in kinds.items()}


_heard_before: dict[_Kind, Heard] = {}
"""Notes of the same kind are heard the same in every part: each is read once."""
_MOST_KEPT = 20_000


def _kind(note: WrittenNote) -> _Kind:
    element = note.element
    pitch, ratio = element.find("pitch"), element.find("time-modification")
    return _Kind(
        _semitones(note.transpose),
        note.grace,
        "" if pitch is None else (pitch.findtext("step") or "").strip().upper(),
        "" if pitch is None else pitch.findtext("alter") or "",
        "" if pitch is None else pitch.findtext("octave") or "",
        note.length,
        (element.findtext("type") or "").strip(),
        min(4, len(element.findall("dot"))),
        "" if ratio is None else ratio.findtext("actual-notes") or "",
        "" if ratio is None else ratio.findtext("normal-notes") or "",
    )


def _semitones(transpose: Element | None) -> int:
    """Of a transposition; its spelling does not matter here."""
    if transpose is None:
        return 0
    semitones = number(transpose.findtext("chromatic")) or 0
    octaves = number(transpose.findtext("octave-change")) or 0
    return int(max(-_MOST_SEMITONES, min(_MOST_SEMITONES, semitones + 12 * octaves)))


def _runs(kinds: Sequence[_Kind]) -> Iterator[tuple[int, list[_Kind]]]:
    """(divisions, notes) of one transposition each, cut where they would need too fine divisions."""
    for _, same in groupby(kinds, key=lambda kind: kind.semitones):
        run: list[_Kind] = []
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


def _read(run: tuple[int, list[_Kind]], numbers: dict[_Kind, int]) -> dict[int, Heard]:
    from music21 import stream
    from music21.musicxml.xmlToM21 import MusicXMLImporter

    divisions, kinds = run
    score = stream.Score()
    MusicXMLImporter().xmlRootToScore(_lean(divisions, kinds, numbers), score)
    part = score.parts[0]
    if kinds[0].semitones:
        part.toSoundingPitch(inPlace=True)
    return {int(note.style.color[1:], 16): _heard(note) for note in part.recurse().notes}


def _heard(note: Any) -> Heard:
    pitch = int(note.pitch.ps // 1) if note.isNote else None
    tuplets = note.duration.tuplets
    ratio = (int(tuplets[0].numberNotesActual), int(tuplets[0].numberNotesNormal)) if tuplets else None
    return Heard(pitch, Fraction(note.duration.quarterLength), ratio)


def _lean(divisions: int, kinds: Sequence[_Kind], numbers: dict[_Kind, int]) -> ElementTree.Element:
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


def _lean_note(kind: _Kind, number_: int, divisions: int) -> ElementTree.Element:
    lean = ElementTree.Element("note", color=f"#{number_:08X}")
    if kind.grace:
        ElementTree.SubElement(lean, "grace")
    if kind.step:
        _lean_pitch(lean, kind)
    else:
        ElementTree.SubElement(lean, "unpitched")
    if not kind.grace:
        _text(lean, "duration", int(kind.length * divisions))
    if value_length(kind.type) is not None:
        _text(lean, "type", kind.type)
        for _ in range(kind.dots):
            ElementTree.SubElement(lean, "dot")
        _lean_tuplet(lean, kind)
    return lean


def _lean_pitch(lean: ElementTree.Element, kind: _Kind) -> None:
    into = ElementTree.SubElement(lean, "pitch")
    _text(into, "step", kind.step)
    alter = number(kind.alter)
    if alter:
        _text(into, "alter", int(alter))
    _text(into, "octave", int(number(kind.octave) or 0))


def _lean_tuplet(lean: ElementTree.Element, kind: _Kind) -> None:
    actual, normal = number(kind.actual), number(kind.normal)
    if actual and normal and 1 <= actual <= _MOST_TUPLET and 1 <= normal <= _MOST_TUPLET:
        into = ElementTree.SubElement(lean, "time-modification")
        _text(into, "actual-notes", int(actual))
        _text(into, "normal-notes", int(normal))


def _text(into: ElementTree.Element, tag: str, value: object) -> None:
    ElementTree.SubElement(into, tag).text = str(value)

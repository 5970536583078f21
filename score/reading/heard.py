"""What music21 reads from the notes: sounding pitch and tuplet ratio, length as a check.

music21 gets a lean copy: the notes of one staff, one after another in one long bar, with nothing beside
them but their transposition. Positions come from `score.reading.cursor`; and with bars, voices, chords
and directions out of its way, music21 neither shifts nor drops a note, and its time stays proportional
to the number of notes (with bars it is quadratic). Each note carries a number as its colour, by which
what music21 says of it is joined back. This is the one place that imports music21.
"""

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Any

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


@dataclass(frozen=True, slots=True)
class _Run:
    notes: tuple[WrittenNote, ...]
    divisions: int


def hear(notes: Sequence[WrittenNote]) -> dict[int, Heard]:
    """music21's reading of the notes of one part, by note id.

    Args:
        notes: of one part, repaired: steps, octaves and durations can be read.
    """
    from music21 import stream
    from music21.musicxml.xmlToM21 import MusicXMLImporter

    heard: dict[int, Heard] = {}
    for run in _runs(notes):
        score = stream.Score()
        MusicXMLImporter().xmlRootToScore(_lean(run), score)
        part = score.parts[0]
        if run.notes[0].transpose is not None:
            part.toSoundingPitch(inPlace=True)
        for note in part.recurse().notes:
            heard[int(note.style.color[1:], 16)] = _heard(note)
    return heard


def _heard(note: Any) -> Heard:
    pitch = int(note.pitch.ps // 1) if note.isNote else None
    tuplets = note.duration.tuplets
    ratio = (int(tuplets[0].numberNotesActual), int(tuplets[0].numberNotesNormal)) if tuplets else None
    return Heard(pitch, Fraction(note.duration.quarterLength), ratio)


def _runs(notes: Sequence[WrittenNote]) -> Iterator[_Run]:
    """The notes staff by staff, cut where the transposition changes or a run has grown long enough."""
    staves = sorted({note.staff for note in notes})
    for staff in staves:
        run: list[WrittenNote] = []
        divisions = 1
        for note in notes:
            if note.staff != staff:
                continue
            finer = lcm(divisions, note.length.denominator)
            if run and (
                note.transpose is not run[0].transpose or len(run) >= _MOST_NOTES_A_RUN or finer > _MOST_DIVISIONS
            ):
                yield _Run(tuple(run), divisions)
                run, finer = [], note.length.denominator
            run.append(note)
            divisions = finer
        if run:
            yield _Run(tuple(run), divisions)


def _lean(run: _Run) -> ElementTree.Element:
    root = ElementTree.Element("score-partwise", version="4.0")
    listed = ElementTree.SubElement(ElementTree.SubElement(root, "part-list"), "score-part", id="P1")
    ElementTree.SubElement(listed, "part-name")
    measure = ElementTree.SubElement(ElementTree.SubElement(root, "part", id="P1"), "measure", number="1")
    attributes = ElementTree.SubElement(measure, "attributes")
    _text(attributes, "divisions", run.divisions)
    transpose = run.notes[0].transpose
    if transpose is not None:
        attributes.append(_lean_transpose(transpose))
    for note in run.notes:
        measure.append(_lean_note(note, run.divisions))
    measure.append(_closing_rest(run.divisions))
    return root


def _closing_rest(divisions: int) -> ElementTree.Element:
    """music21 divides by the length of the bar, which grace notes alone would leave at nothing."""
    lean = ElementTree.Element("note")
    ElementTree.SubElement(lean, "rest")
    _text(lean, "duration", divisions)
    return lean


def _lean_transpose(transpose: Element) -> ElementTree.Element:
    """In semitones alone: the spelling does not matter here, and music21 stumbles where diatonic is left out."""
    lean = ElementTree.Element("transpose")
    semitones = number(transpose.findtext("chromatic")) or 0
    octaves = number(transpose.findtext("octave-change")) or 0
    _text(lean, "chromatic", int(max(-_MOST_SEMITONES, min(_MOST_SEMITONES, semitones + 12 * octaves))))
    return lean


def _lean_note(note: WrittenNote, divisions: int) -> ElementTree.Element:
    lean = ElementTree.Element("note", color=f"#{note.id:08X}")
    if note.grace:
        ElementTree.SubElement(lean, "grace")
    pitch = note.element.find("pitch")
    if pitch is None:
        ElementTree.SubElement(lean, "unpitched")
    else:
        _lean_pitch(lean, pitch)
    if not note.grace:
        _text(lean, "duration", int(note.length * divisions))
    written = (note.element.findtext("type") or "").strip()
    if value_length(written) is not None:
        _text(lean, "type", written)
        for _ in note.element.findall("dot")[:4]:
            ElementTree.SubElement(lean, "dot")
        _lean_tuplet(lean, note.element)
    return lean


def _lean_pitch(lean: ElementTree.Element, pitch: Element) -> None:
    into = ElementTree.SubElement(lean, "pitch")
    _text(into, "step", (pitch.findtext("step") or "").strip().upper())
    alter = number(pitch.findtext("alter"))
    if alter:
        _text(into, "alter", int(alter))
    _text(into, "octave", int(number(pitch.findtext("octave")) or 0))


def _lean_tuplet(lean: ElementTree.Element, note: Element) -> None:
    ratio = note.find("time-modification")
    if ratio is None:
        return
    actual, normal = number(ratio.findtext("actual-notes")), number(ratio.findtext("normal-notes"))
    if actual and normal and 1 <= actual <= _MOST_TUPLET and 1 <= normal <= _MOST_TUPLET:
        into = ElementTree.SubElement(lean, "time-modification")
        _text(into, "actual-notes", int(actual))
        _text(into, "normal-notes", int(normal))


def _text(into: ElementTree.Element, tag: str, value: object) -> None:
    ElementTree.SubElement(into, tag).text = str(value)

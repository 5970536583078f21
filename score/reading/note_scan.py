"""From written notes to their kinds, for music21."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.beats import value_length
from score.reading.note_kinds import NoteKind
from score.reading.part_scan import WrittenNote
from score.reading.xml_cursor import Element, number

_MOST_TUPLET = 1_000
_MOST_SEMITONES = 60


class _KindTexts(NamedTuple):
    """What tells a note's kind, as texts of the document; they are understood once a kind, not once a note."""

    transpose: Element | None
    grace: bool
    step: str | None
    alter: str | None
    octave: str | None
    length: Fraction
    type: str | None
    dots: int
    actual: str | None
    normal: str | None


def kinds_of(notes: Sequence[WrittenNote]) -> dict[int, NoteKind]:
    """The kind of each repaired note, by note id."""
    by_text: dict[_KindTexts, NoteKind] = {}
    kinds: dict[int, NoteKind] = {}
    for note in notes:
        written = _written(note)
        kind = by_text.get(written)
        kinds[note.id] = by_text[written] = _kind(written) if kind is None else kind
    return kinds


def _written(note: WrittenNote) -> _KindTexts:
    element = note.element
    pitch, ratio = element.find("pitch"), element.find("time-modification")
    return _KindTexts(
        note.transpose,
        note.grace,
        None if pitch is None else pitch.findtext("step"),
        alter=None if pitch is None else pitch.findtext("alter"),
        octave=None if pitch is None else pitch.findtext("octave"),
        length=note.length,
        type=element.findtext("type"),
        dots=min(4, len(element.findall("dot"))),
        actual=None if ratio is None else ratio.findtext("actual-notes"),
        normal=None if ratio is None else ratio.findtext("normal-notes"),
    )


def _kind(written: _KindTexts) -> NoteKind:
    type_ = (written.type or "").strip()
    printed = value_length(type_) is not None
    actual, normal = _tuplet(written) if printed else (0, 0)
    return NoteKind(
        semitones=_semitones(written.transpose),
        grace=written.grace,
        step=(written.step or "").strip().upper(),
        alter=int(number(written.alter) or 0),
        octave=int(number(written.octave) or 0),
        length=Fraction(0) if written.grace else written.length,
        type=type_ if printed else "",
        dots=written.dots if printed else 0,
        actual=actual,
        normal=normal,
    )


def _tuplet(written: _KindTexts) -> tuple[int, int]:
    actual, normal = number(written.actual), number(written.normal)
    if actual and normal and 1 <= actual <= _MOST_TUPLET and 1 <= normal <= _MOST_TUPLET:
        return int(actual), int(normal)
    return 0, 0


def _semitones(transpose: Element | None) -> int:
    """Of a transposition; its spelling does not matter here."""
    if transpose is None:
        return 0
    semitones = number(transpose.findtext("chromatic")) or 0
    octaves = number(transpose.findtext("octave-change")) or 0
    return int(max(-_MOST_SEMITONES, min(_MOST_SEMITONES, semitones + 12 * octaves)))

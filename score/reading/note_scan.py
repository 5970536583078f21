"""From written notes to their kinds, for music21."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.beats import value_length
from score.reading.note_kinds import Kind
from score.reading.part_scan import WrittenNote
from score.reading.xml_cursor import Element, number

_MOST_TUPLET = 1_000
_MOST_SEMITONES = 60


class _Written(NamedTuple):
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


def kinds_of(notes: Sequence[WrittenNote]) -> dict[int, Kind]:
    """The kind of each repaired note, by note id."""
    known: dict[_Written, Kind] = {}
    found: dict[int, Kind] = {}
    for note in notes:
        written = _written(note)
        kind = known.get(written)
        found[note.id] = known[written] = _kind(written) if kind is None else kind
    return found


def _written(note: WrittenNote) -> _Written:
    element = note.element
    pitch, ratio = element.find("pitch"), element.find("time-modification")
    return _Written(
        note.transpose,
        note.grace,
        None if pitch is None else pitch.findtext("step"),
        None if pitch is None else pitch.findtext("alter"),
        None if pitch is None else pitch.findtext("octave"),
        note.length,
        element.findtext("type"),
        min(4, len(element.findall("dot"))),
        None if ratio is None else ratio.findtext("actual-notes"),
        None if ratio is None else ratio.findtext("normal-notes"),
    )


def _kind(written: _Written) -> Kind:
    type_ = (written.type or "").strip()
    known = value_length(type_) is not None
    return Kind(
        _semitones(written.transpose),
        written.grace,
        (written.step or "").strip().upper(),
        int(number(written.alter) or 0),
        int(number(written.octave) or 0),
        Fraction(0) if written.grace else written.length,
        type_ if known else "",
        written.dots if known else 0,
        *(_tuplet(written) if known else (0, 0)),
    )


def _tuplet(written: _Written) -> tuple[int, int]:
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

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


class NoteKinds(NamedTuple):
    """The kinds of a part's notes.

    Attributes:
        kinds: each once.
        of_note: index into them by note id.
    """

    kinds: tuple[NoteKind, ...]
    of_note: dict[int, int]


class _KindTexts(NamedTuple):
    """What tells a note's kind, as texts of the document; they are understood once a kind, not once a note."""

    transpose: Element | None
    grace: bool
    pitch: tuple[str | None, str | None, str | None] | None
    length: tuple[int, int]
    type: str | None
    dots: int
    ratio: tuple[str | None, str | None] | None


def kinds_of(notes: Sequence[WrittenNote]) -> NoteKinds:
    """The kinds of repaired notes."""
    by_text: dict[_KindTexts, int] = {}
    kinds: dict[NoteKind, int] = {}
    of_note: dict[int, int] = {}
    for note in notes:
        written = _written(note)
        index = by_text.get(written)
        if index is None:
            index = by_text[written] = kinds.setdefault(_kind(written), len(kinds))
        of_note[note.id] = index
    return NoteKinds(tuple(kinds), of_note)


def _written(note: WrittenNote) -> _KindTexts:
    signs = note.signs
    return _KindTexts(
        note.transpose,
        note.grace,
        signs.pitch,
        length=note.length.as_integer_ratio(),
        type=signs.type,
        dots=min(4, signs.dots),
        ratio=signs.ratio,
    )


def _kind(written: _KindTexts) -> NoteKind:
    type_ = (written.type or "").strip()
    printed = value_length(type_) is not None
    actual, normal = _tuplet(written) if printed else (0, 0)
    step, alter, octave = written.pitch or (None, None, None)
    return NoteKind(
        semitones=_semitones(written.transpose),
        grace=written.grace,
        step=(step or "").strip().upper(),
        alter=int(number(alter) or 0),
        octave=int(number(octave) or 0),
        length=Fraction(0) if written.grace else Fraction(*written.length),
        type=type_ if printed else "",
        dots=written.dots if printed else 0,
        actual=actual,
        normal=normal,
    )


def _tuplet(written: _KindTexts) -> tuple[int, int]:
    actual, normal = (number(text) for text in written.ratio or (None, None))
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

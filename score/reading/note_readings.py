"""What a written note says by itself: its sounding pitch and its tuplet.

A score of thousands of notes has a few hundred kinds of them, so each kind is understood once. Tests compare every kind
in a corpus of scores with what another library makes of it.
"""

from collections.abc import Iterable
from fractions import Fraction
from math import gcd
from typing import NamedTuple

from score.beats import value_length
from score.reading.part_scan import WrittenNote
from score.reading.xml_cursor import Element, number

_MOST_TUPLET = 1_000
_MOST_SEMITONES = 60
_MOST_DOTS = 3
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
Tuplet = tuple[int, int]


class NoteReading(NamedTuple):
    """What a note says.

    Attributes:
        pitch: sounding MIDI number, None when unpitched; it may lie outside MIDI's range.
        tuplet: (actual, normal) in lowest terms, or None.
    """

    pitch: int | None
    tuplet: Tuplet | None


class _KindTexts(NamedTuple):
    """What tells a note's kind, as texts of the document; they are understood once a kind, not once a note."""

    transpose: Element | None
    grace: bool
    pitch: tuple[str | None, str | None, str | None] | None
    length: tuple[int, int]
    type: str | None
    ratio: tuple[str | None, str | None] | None


def note_readings(notes: Iterable[WrittenNote]) -> dict[int, NoteReading]:
    """What each note says, by its id.

    Args:
        notes: repaired: steps, octaves and durations can be read.
    """
    by_texts: dict[_KindTexts, NoteReading] = {}
    readings: dict[int, NoteReading] = {}
    for note in notes:
        texts = _texts(note)
        reading = by_texts.get(texts)
        if reading is None:
            reading = by_texts[texts] = NoteReading(_pitch(texts), _tuplet(texts))
        readings[note.id] = reading
    return readings


def _texts(note: WrittenNote) -> _KindTexts:
    signs = note.signs
    return _KindTexts(
        note.transpose,
        note.grace,
        signs.pitch,
        length=note.length.as_integer_ratio(),
        type=signs.type,
        ratio=signs.ratio,
    )


def _pitch(texts: _KindTexts) -> int | None:
    step, alter, octave = texts.pitch or (None, None, None)
    if not step or not step.strip():
        return None
    written = _SEMITONES[step.strip().upper()] + int(number(alter) or 0)
    return 12 * (int(number(octave) or 0) + 1) + written + _transposition(texts.transpose)


def _transposition(transpose: Element | None) -> int:
    """Semitones that the part is transposed by; the spelling does not matter here."""
    if transpose is None:
        return 0
    semitones = number(transpose.findtext("chromatic")) or 0
    octaves = number(transpose.findtext("octave-change")) or 0
    return int(max(-_MOST_SEMITONES, min(_MOST_SEMITONES, semitones + 12 * octaves)))


def _tuplet(texts: _KindTexts) -> Tuplet | None:
    if texts.grace:
        return None
    if value_length((texts.type or "").strip()) is None:
        return tuplet_of_length(Fraction(*texts.length))
    actual, normal = (number(text) for text in texts.ratio or (None, None))
    if not (actual and normal and 1 <= actual <= _MOST_TUPLET and 1 <= normal <= _MOST_TUPLET):
        return None
    common = gcd(int(actual), int(normal))
    ratio = int(actual) // common, int(normal) // common
    return None if ratio == (1, 1) else ratio


def tuplet_of_length(length: Fraction) -> Tuplet | None:
    """The tuplet of a note that is printed without a value, from its length; None where it has none that fits.

    As many notes as the odd part of the length's denominator in the time of the next smaller power of two: three in
    the time of two, five or seven in the time of four.

    Args:
        length: quarters.
    """
    actual = length.denominator
    actual //= actual & -actual
    if actual == 1:
        return None
    normal = 1 << (actual.bit_length() - 1)
    return (actual, normal) if _has_value(length * actual / normal) else None


def _has_value(length: Fraction) -> bool:
    """Whether a note value with at most three dots lasts so long."""
    top = length.numerator
    power = length.denominator
    odd = top // (top & -top)
    return power & (power - 1) == 0 and odd in [2 ** (dots + 1) - 1 for dots in range(_MOST_DOTS + 1)]

"""Exact musical time: quarters as `Fraction`. Seconds begin only in `score.time`; here is only how they are written.

A *place* in a piece is a bar index and an offset inside that bar, both from 0, because bars of one
score are lined up by index and never by adding up what came before.
"""

from fractions import Fraction
from typing import NamedTuple


class Place(NamedTuple):
    """A moment in the written order; places compare in score order.

    Attributes:
        bar: index of the bar, from 0.
        at: offset inside the bar, in quarters, from 0.
    """

    bar: int
    at: Fraction


def in_ticks(quarters: Fraction, quarter: int) -> int:
    """Quarters in whole ticks, rounded down; comparing these takes a tenth of the time that fractions take.

    Args:
        quarters: exact.
        quarter: ticks of one.
    """
    return quarters.numerator * quarter // quarters.denominator


def quarters_text(value: Fraction) -> str:
    """Quarters as the JSON output writes them: ``"3/2"``, or ``"2"`` when whole."""
    return str(value)


def note_value(quarters: Fraction) -> str:
    """The name of an undotted note value of this length, or ``""``.

    Source: MusicXML 4.0, note-type-value.
    """
    return _NOTE_VALUES.get(quarters, "")


def value_length(note_type: str, dots: int = 0) -> Fraction | None:
    """Length in quarters of a note type of MusicXML with so many dots; None for an unknown type."""
    plain = _LENGTHS.get(note_type)
    return None if plain is None else plain * (2 - Fraction(1, 2**dots))


def minutes_text(seconds: float) -> str:
    """Seconds as minutes and seconds: "1:05"."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02}"


_LENGTHS = {
    "1024th": Fraction(1, 256),
    "512th": Fraction(1, 128),
    "256th": Fraction(1, 64),
    "128th": Fraction(1, 32),
    "64th": Fraction(1, 16),
    "32nd": Fraction(1, 8),
    "16th": Fraction(1, 4),
    "eighth": Fraction(1, 2),
    "quarter": Fraction(1),
    "half": Fraction(2),
    "whole": Fraction(4),
    "breve": Fraction(8),
    "long": Fraction(16),
    "maxima": Fraction(32),
}
_NOTE_VALUES = {length: name for name, length in _LENGTHS.items()}

"""What distinguishes notes for music21: a score of thousands of notes has a few hundred kinds.

This module is light: it is loaded beside music21 in a process of its own.
"""

from collections.abc import Callable, Collection, Mapping
from fractions import Fraction
from typing import NamedTuple


class NoteKind(NamedTuple):
    """All that distinguishes a note from another one here.

    Attributes:
        semitones: its part is transposed by.
        grace: it takes no time.
        step: "" when unpitched.
        alter, octave: of its pitch.
        length: quarters.
        type: its printed value; "" when there is none.
        dots: at most 4.
        actual, normal: of its tuplet; 0 when there is none.
    """

    semitones: int
    grace: bool
    step: str
    alter: int
    octave: int
    length: Fraction
    type: str
    dots: int
    actual: int
    normal: int


class HeardNote(NamedTuple):
    """What music21 says of a note.

    Attributes:
        pitch: sounding MIDI number, None when unpitched.
        length: quarters; 0 for a grace note.
        tuplet: (actual, normal), or None.
    """

    pitch: int | None
    length: Fraction
    tuplet: tuple[int, int] | None


Answer = Callable[[], Mapping[NoteKind, HeardNote]]
Listen = Callable[[Collection[NoteKind]], Answer]
"""Is asked how notes of some kinds sound; the answer is waited for when it is needed."""

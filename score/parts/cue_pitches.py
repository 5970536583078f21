"""The pitches of a cue, as its reader would write them: the highest note of each stroke, in a clef that suits the run.

A cue staff has no key signature, so every accidental is written, once a bar; spelled with flats in flat keys, sharps in
sharp ones, and the usual mixture where there is neither (common practice, no source).
"""

from collections.abc import Sequence
from typing import NamedTuple

from score.instruments.percussion import all_percussion
from score.piece import Bar, Player

_SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_MIXED = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
_LOWEST_TREBLE = 57
"""A run whose notes lie below A3 on average is written in the bass clef."""
_ALTERS = {"": 0, "#": 1, "b": -1}


class WrittenPitch(NamedTuple):
    """A note on a five-line staff.

    Attributes:
        step, octave: its letter and octave, C4 being middle C.
        alter: 1 for a sharp, -1 for a flat.
        shown: whether its accidental (a natural, too) is printed.
    """

    step: str
    octave: int
    alter: int = 0
    shown: bool = False


def reader_octaves(player: Player) -> int:
    """Octaves by which the reader's own pitched instrument sounds above what is written for it."""
    for instrument in player.instruments:
        entry = all_percussion().get(instrument.key)
        if instrument.pitched and entry is not None:
            return entry.octaves
    return 0


def written_pitches(tops: Sequence[int | None], bar: Bar) -> list[WrittenPitch | None]:
    """The notes of a bar, None where there is no pitch.

    Args:
        tops: sounding MIDI numbers as the reader would write them, in the order of the bar's signs.
        bar: the bar, for its key.
    """
    names = _FLATS if bar.key < 0 else _SHARPS if bar.key > 0 else _MIXED
    in_force: dict[tuple[str, int], int] = {}
    written: list[WrittenPitch | None] = []
    for top in tops:
        if top is None:
            written.append(None)
            continue
        name, octave = names[top % 12], top // 12 - 1
        step, alter = name[0], _ALTERS[name[1:]]
        written.append(WrittenPitch(step, octave, alter, shown=in_force.get((step, octave), 0) != alter))
        in_force[step, octave] = alter
    return written


def clef_for(tops: Sequence[int]) -> str:
    """The letter of the clef for a run of these notes: G or F."""
    return "G" if not tops or sum(tops) >= _LOWEST_TREBLE * len(tops) else "F"

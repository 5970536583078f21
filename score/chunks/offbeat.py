"""How far strokes stand from the beats.

The weighted note-to-beat distance is Gómez, Melvin, Rappaport and Toussaint's (2005): a note between two beats
counts the more the nearer it stands to one of them, and twice when it sounds on over the next beat.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction


def off_beat_share(onsets: Sequence[Fraction], beats: Sequence[Fraction]) -> float:
    """Share of the onsets that stand on no beat, 0 to 1; 0 without onsets.

    Args:
        onsets: quarters, ascending.
        beats: quarters, ascending.
    """
    on = set(beats)
    return sum(onset not in on for onset in onsets) / len(onsets) if onsets else 0.0


def note_to_beat_distance(onsets: Sequence[Fraction], beats: Sequence[Fraction], end: Fraction) -> float:
    """Weighted note-to-beat distance, the mean over the notes; 0 when all stand on beats or there are none.

    A note sounds until the next one, the last one until `end`.

    Args:
        onsets: quarters, ascending.
        beats: quarters, ascending, the first at or before the first onset, going on past `end`.
        end: where the last note ends, quarters.
    """
    if not onsets:
        return 0.0
    ends = [*onsets[1:], end]
    return sum(_weight(onset, last, beats) for onset, last in zip(onsets, ends, strict=True)) / len(onsets)


def _weight(onset: Fraction, end: Fraction, beats: Sequence[Fraction]) -> float:
    index = bisect_right(beats, onset) - 1
    if index < 0 or beats[index] == onset or index + 2 >= len(beats):
        return 0.0
    before, after, second = beats[index], beats[index + 1], beats[index + 2]
    near = min(onset - before, after - onset) / (after - before)
    return float((2 if after < end <= second else 1) / near)

"""How far strokes stand from the beats.

The weighted note-to-beat distance is Gómez, Melvin, Rappaport and Toussaint's (2005): a note between two beats
counts the more the nearer it stands to one of them, and twice when it sounds on over the next beat.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from math import lcm

from score.beats import in_ticks


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
    # In whole ticks, which all of them are: a distance over a distance is the same number.
    quarter = lcm(end.denominator, *(place.denominator for place in (*onsets, *beats)))
    starts, pulse = ([in_ticks(place, quarter) for place in places] for places in (onsets, beats))
    ends = [*starts[1:], in_ticks(end, quarter)]
    return sum(_weight(onset, last, pulse) for onset, last in zip(starts, ends, strict=True)) / len(onsets)


def _weight(onset: int, end: int, beats: Sequence[int]) -> float:
    index = bisect_right(beats, onset) - 1
    if index < 0 or beats[index] == onset or index + 2 >= len(beats):
        return 0.0
    before, after, second = beats[index], beats[index + 1], beats[index + 2]
    weight = 2 if after < end <= second else 1
    return weight * (after - before) / min(onset - before, after - onset)

"""Rolls as single strokes, hand after hand, at a speed that suits register and dynamic.

Common practice, no source: bars ring longer the lower they are, so low rolls are slower; louder ones are quicker.
"""

from collections.abc import Sequence

SLOWEST, FASTEST = 7.0, 19.0
_AT_C4, _AN_OCTAVE, _FROM_SOFT_TO_LOUD = 12.0, 1.6, 3.0
_UNPITCHED = 15.0


def roll_speed(pitches: Sequence[int], level: float) -> float:
    """Strokes a second of both hands together.

    Args:
        pitches: sounding MIDI numbers; empty when unpitched.
        level: loudness, 0 to 1.
    """
    base = _AT_C4 + _AN_OCTAVE * (sum(pitches) / len(pitches) - 60) / 12 if pitches else _UNPITCHED
    return min(FASTEST, max(SLOWEST, base + _FROM_SOFT_TO_LOUD * (level - 0.5)))


def roll_strokes(pitches: Sequence[int], level: float, seconds: float) -> list[tuple[float, float, tuple[int, ...]]]:
    """(seconds from the start, seconds to the next, pitches) of each stroke.

    A chord is shared by the hands: the left strikes the lower half, the right the upper; the last stroke ends
    where the roll does, so that a roll fills its length evenly.
    """
    count = max(2, round(seconds * roll_speed(pitches, level)))
    step = seconds / count
    half = (len(pitches) + 1) // 2
    hands = (tuple(pitches[:half]), tuple(pitches[half:] or pitches[-1:]))
    return [(index * step, step, hands[index % 2]) for index in range(count)]

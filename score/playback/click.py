"""Which clicks of the meter are left as they thin out."""

from enum import StrEnum

from score.time.meter_beats import Beat, ClickKind


class Thinning(StrEnum):
    """Which clicks are left, from most to fewest."""

    EVERY_BEAT = "every beat"
    STRONG_BEATS = "strong beats"
    DOWNBEATS = "downbeats"
    SECOND_BARS = "every second bar"
    FIRST_BAR = "first bar only"
    NONE = "none"


def heard(beat: Beat, thinning: Thinning, bar_count: int) -> bool:
    """Whether a click is left after thinning.

    Args:
        beat: the click.
        thinning: how much is left.
        bar_count: number of the bar since the passage began, from 0.
    """
    match thinning:
        case Thinning.EVERY_BEAT:
            return True
        case Thinning.STRONG_BEATS:
            return beat.kind in (ClickKind.DOWNBEAT, ClickKind.GROUP)
        case Thinning.DOWNBEATS:
            return beat.kind is ClickKind.DOWNBEAT
        case Thinning.SECOND_BARS:
            return beat.kind is ClickKind.DOWNBEAT and bar_count % 2 == 0
        case Thinning.FIRST_BAR:
            return bar_count == 0
        case Thinning.NONE:
            return False

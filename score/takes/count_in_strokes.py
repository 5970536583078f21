"""A count-in that is struck along: whether pad and loudspeaker are still as late as when their delay was measured.

Whoever strikes along with clicks has a lead of their own, 20 to 80 ms, so a count-in cannot measure a delay. But that
lead is a habit: where a count-in stands elsewhere than in the passes before, the delay may be another.
"""

import json
from collections.abc import Sequence
from statistics import median
from typing import NamedTuple

from score.playback.click_strikes import CountIn
from score.strokes.heard_stroke import HeardStroke
from score.takes.pad_delay_text import MEASURE_AGAIN

_NEAR = 0.15
"""Seconds a stroke may be away from its click."""
_LEAST_STROKES, _MOST_SPREAD = 3, 0.03
_LEAST_PASSES, _MOST_PASSES = 3, 8
_MOVED = 0.036
"""Seconds: strokes that scatter by 20 ms have a middle of four that wanders by 12 against the passes before (computed);
three times that."""


class StruckCountIn(NamedTuple):
    """How a count-in was struck along with.

    Attributes:
        seconds: how late in the middle, nothing taken off for any delay; negative is early.
        spread: seconds, the median distance of single strokes from that.
        strokes: how many clicks were struck along with.
    """

    seconds: float
    spread: float
    strokes: int

    @property
    def is_sure(self) -> bool:
        """Whether strokes enough agree."""
        return self.strokes >= _LEAST_STROKES and self.spread <= _MOST_SPREAD


def struck_count_in(counted: CountIn, begins: float, strokes: Sequence[HeardStroke]) -> StruckCountIn:
    """How a count-in was struck along with.

    Args:
        counted: what was counted.
        begins: moment at which the music after it begins.
        strokes: what was heard, on the same clock.
    """
    clicks = [begins - counted.seconds + counted.at(beat) for beat in counted.beats]
    nearest = [min((stroke.seconds - click for stroke in strokes), key=abs, default=1.0) for click in clicks]
    late = [seconds for seconds in nearest if abs(seconds) <= _NEAR]
    if not late:
        return StruckCountIn(0.0, 0.0, 0)
    middle = median(late)
    return StruckCountIn(middle, median(abs(seconds - middle) for seconds in late), len(late))


def count_in_remark(now: StruckCountIn, before: Sequence[float]) -> str:
    """What a count-in says of the delay, "" where it says nothing.

    Args:
        now: how this pass's was struck.
        before: how late those of the passes before were, seconds.
    """
    if not now.is_sure or len(before) < _LEAST_PASSES:
        return ""
    moved = now.seconds - median(before)
    if abs(moved) <= _MOVED:
        return f"the count-in was struck as in your last {len(before)} passes"
    way = "later" if moved > 0 else "earlier"
    return (
        f"the count-in was struck {1000 * abs(moved):.0f} ms {way} than in your last {len(before)} passes: "
        f"the delay of loudspeaker or instrument may have changed, so {MEASURE_AGAIN}"
    )


def kept_count_ins(text: str) -> tuple[float, ...]:
    """Those of passes before, from `with_count_in`; none where nothing usable was kept."""
    try:
        return tuple(float(seconds) for seconds in json.loads(text))
    except (ValueError, TypeError):
        return ()


def with_count_in(before: Sequence[float], now: StruckCountIn) -> str:
    """This one with those before, as a history keeps them: the last eight."""
    latest = [round(now.seconds, 4)] if now.is_sure else []
    return json.dumps([*before, *latest][-_MOST_PASSES:])

"""The delay of a pad or of keys as it is kept."""

import json
from typing import NamedTuple

_LEAST_STROKES, _MOST_SPREAD = 4, 0.004
"""From how many strokes, and up to how many seconds of spread, a delay is believed."""


class PadDelay(NamedTuple):
    """A delay.

    Attributes:
        seconds: to be taken off every stamp.
        spread: seconds, the median distance of single strokes from it.
        strokes: how many it comes from.
    """

    seconds: float
    spread: float
    strokes: int

    @property
    def is_trusted(self) -> bool:
        """Whether strokes enough agree."""
        return self.strokes >= _LEAST_STROKES and self.spread <= _MOST_SPREAD

    def text(self) -> str:
        """As a history keeps it."""
        return json.dumps(list(self))


def kept_pad_delay(text: str) -> PadDelay | None:
    """A delay from `PadDelay.text`, None where nothing usable was kept."""
    try:
        seconds, spread, strokes = json.loads(text)
        return PadDelay(float(seconds), float(spread), int(strokes))
    except (ValueError, TypeError):
        return None

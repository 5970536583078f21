"""The delay of a pad or of keys as it is kept."""

import json
from contextlib import suppress
from datetime import date
from typing import NamedTuple

from score.plain_text import several

_LEAST_STROKES, _MOST_SPREAD = 4, 0.004
"""From how many strokes, and up to how many seconds of spread, a delay is believed."""

MEASURE_AGAIN = "measure it again (inbreath sound --hear --pad)"
_AGES = 30
"""Days after which a delay should be measured again: systems and drivers are renewed meanwhile."""


class PadDelay(NamedTuple):
    """A delay.

    Attributes:
        seconds: to be taken off every stamp.
        spread: seconds, the median distance of single strokes from it.
        strokes: how many it comes from.
        day: on which it was measured, "2027-03-02"; "" where that was not kept.
    """

    seconds: float
    spread: float
    strokes: int
    day: str = ""

    @property
    def is_trusted(self) -> bool:
        """Whether strokes enough agree."""
        return self.strokes >= _LEAST_STROKES and self.spread <= _MOST_SPREAD

    def text(self) -> str:
        """As a history keeps it."""
        return json.dumps(list(self))

    def words(self, today: date | None = None) -> str:
        """That it is allowed for, how sure it is and how old.

        Args:
            today: for its age, None to leave that out.
        """
        age = self._age(today)
        since = "" if age < 0 else ", today" if age == 0 else f", {several(age, 'day')} ago"
        ms = f"{1000 * self.seconds:.0f} ms, spread {max(1.0, 1000 * self.spread):.0f} ms, from {self.strokes} strokes"
        said = f"the measured delay of loudspeaker and instrument is allowed for ({ms}{since})"
        if age > _AGES:
            return f"{said}; that is a while ago, so {MEASURE_AGAIN}"
        return f"{said}; a sound card may differ a little each time it is opened"

    def _age(self, today: date | None) -> int:
        """Days, -1 where nobody can tell."""
        with suppress(ValueError):
            return (today - date.fromisoformat(self.day)).days if today is not None else -1
        return -1


def kept_pad_delay(text: str) -> PadDelay | None:
    """A delay from `PadDelay.text`, None where nothing usable was kept."""
    try:
        seconds, spread, strokes, *day = json.loads(text)
        return PadDelay(float(seconds), float(spread), int(strokes), day=str(day[0]) if day else "")
    except (ValueError, TypeError):
        return None

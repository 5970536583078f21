"""A timeline in another time: every second of it moved by one map that only goes forward."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from math import inf
from typing import NamedTuple

from score.playback.sound_events import Timeline

_AROUND, _LEAST_RATE = 0.25, 0.05


class SecondsMap(NamedTuple):
    """Where seconds go: in proportion between two points, at the timeline's own rate outside.

    Attributes:
        points: (seconds of the timeline, seconds they go to), both rising; never empty.
    """

    points: Sequence[tuple[float, float]]

    def __call__(self, seconds: float) -> float:
        """Where a second goes to."""
        index = bisect_right(self.points, (seconds, inf))
        if index == 0 or index == len(self.points):
            at, moved = self.points[min(index, len(self.points) - 1)]
            return moved + seconds - at
        (a, first), (b, second) = self.points[index - 1], self.points[index]
        return first + (second - first) * (seconds - a) / (b - a) if b > a else second

    def rate(self, seconds: float) -> float:
        """Seconds it takes around there for one of the timeline's."""
        return max(_LEAST_RATE, (self(seconds + _AROUND) - self(seconds - _AROUND)) / (2 * _AROUND))

    def later(self, seconds: float) -> "SecondsMap":
        """The same with everything so many seconds later."""
        return SecondsMap([(at, moved + seconds) for at, moved in self.points])


def bent_timeline(timeline: Timeline, moved: SecondsMap) -> Timeline:
    """The timeline with every second of it where a map says, tempi and lengths with it."""
    return Timeline(
        tuple(replace(s, seconds=moved(s.seconds), length=s.length * moved.rate(s.seconds)) for s in timeline.strikes),
        moved(timeline.seconds),
        bars=tuple(replace(bar, seconds=moved(bar.seconds)) for bar in timeline.bars),
        beats=tuple(
            replace(
                beat,
                seconds=moved(beat.seconds),
                quarters_per_minute=beat.quarters_per_minute / moved.rate(beat.seconds),
            )
            for beat in timeline.beats
        ),
        starts=moved(timeline.starts),
        breaths=tuple(
            breath._replace(seconds=moved(breath.seconds), until=moved(breath.until)) for breath in timeline.breaths
        ),
    )

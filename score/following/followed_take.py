"""The others as they would have gone with a recorded take: the same following, on the take's own clock."""

import math
from bisect import bisect_right
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from score.following.follower import USUAL_GIVE, Follower
from score.following.leader_moments import LeaderMoment
from score.playback.sound_events import Timeline

ORDER_SECONDS = 0.03
"""From the moment a stroke of the others is decided to when it is heard."""
_LEAST_SHARE = 0.4
"""Two strokes of the others are never closer than this share of what is written."""


class TakeStroke(NamedTuple):
    """One stroke of a take.

    Attributes:
        moment: seconds from the beginning of the take.
        pitch: MIDI number, None where it is not known.
        velocity: 1 to 127.
        length: seconds.
    """

    moment: float
    pitch: int | None
    velocity: int = 80
    length: float = 0.2


class FollowOptions(NamedTuple):
    """How the others follow.

    Attributes:
        give: 0 strict, 1 wholly.
        order: seconds from an order to its sound.
    """

    give: float = USUAL_GIVE
    order: float = ORDER_SECONDS


class Followed(NamedTuple):
    """What came of it.

    Attributes:
        timeline: the others in the take's time, begun early enough for what stands before its first stroke.
        begins: seconds from the timeline's beginning to that of the take.
    """

    timeline: Timeline
    begins: float


def followed(
    others: Timeline,
    moments: tuple[LeaderMoment, ...],
    take: tuple[TakeStroke, ...],
    options: FollowOptions | None = None,
) -> Followed:
    """The others' timeline bent to a take; what they would still wait for when it ends is left out.

    Args:
        others: everybody else, as written.
        moments: what the player strikes, in the same seconds.
        take: the player's strokes, in order; never empty.
        options: how they follow.
    """
    options = options or FollowOptions()
    times = _played(others, moments, take, options)
    points = [(strike.seconds, moment) for strike, moment in zip(others.strikes, times, strict=False)]
    points = points or [(moments[0].seconds, take[0].moment)]
    begins = max(0.0, -min(moment for _, moment in points))
    return Followed(_shifted(others, times, points, begins), begins)


def _played(
    others: Timeline, moments: tuple[LeaderMoment, ...], take: tuple[TakeStroke, ...], options: FollowOptions
) -> list[float]:
    """When each strike of the others sounds, in the take's seconds; fewer than there are where the take ends early."""
    follower = Follower(moments, options.give)
    first = moments[0].seconds
    times = [take[0].moment + strike.seconds - first for strike in others.strikes if strike.seconds < first - 1e-9]
    for stroke, coming in pairwise((*take, None)):
        assert stroke is not None
        follower.heard(stroke.moment, stroke.pitch)
        until = coming.moment if coming is not None else math.inf
        while len(times) < len(others.strikes):
            index = len(times)
            seconds = others.strikes[index].seconds
            least = times[-1] + _LEAST_SHARE * (seconds - others.strikes[index - 1].seconds) if times else -math.inf
            moment = max(follower.when(seconds), stroke.moment + options.order if index else -math.inf, least)
            if moment == math.inf or moment - options.order > until:
                break
            times.append(moment)
    return times


def _shifted(others: Timeline, times: list[float], points: list[tuple[float, float]], begins: float) -> Timeline:
    def bent(seconds: float) -> float:
        return begins + _between(points, seconds)

    # Where the take ends early, so do the others, with the bar they are in.
    last = points[-1][0] if len(times) < len(others.strikes) else math.inf
    return Timeline(
        tuple(replace(s, seconds=begins + moment) for s, moment in zip(others.strikes, times, strict=False)),
        bent(min(others.seconds, last)),
        bars=tuple(replace(bar, seconds=bent(bar.seconds)) for bar in others.bars if bar.seconds <= last),
        beats=tuple(replace(beat, seconds=bent(beat.seconds)) for beat in others.beats if beat.seconds <= last),
        starts=bent(others.starts),
        breaths=tuple(
            breath._replace(seconds=bent(breath.seconds), until=bent(breath.until))
            for breath in others.breaths
            if breath.until <= last
        ),
    )


def _between(points: list[tuple[float, float]], seconds: float) -> float:
    """A second of the timeline in the take's: in proportion between two strikes, at the written rate outside."""
    index = bisect_right(points, (seconds, math.inf))
    if index == 0 or index == len(points):
        at, moment = points[min(index, len(points) - 1)]
        return moment + seconds - at
    (a, first), (b, second) = points[index - 1], points[index]
    return first + (second - first) * (seconds - a) / (b - a) if b > a else second

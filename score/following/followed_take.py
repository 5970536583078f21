"""The others as they would have gone with a recorded take: the same following, on the take's own clock."""

import math
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from score.following.follower import Follower
from score.following.heard_players import HeardPlayers, Parts
from score.following.leader_moments import LeaderMoment
from score.following.learned_time import PlayedPlace
from score.following.played_time import USUAL_GIVE
from score.playback.bent_timeline import SecondsMap, bent_timeline
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
        player: number of who struck it, 0 where only one is heard.
    """

    moment: float
    pitch: int | None
    velocity: int = 80
    length: float = 0.2
    player: int = 0


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
    parts: Parts,
    take: tuple[TakeStroke, ...],
    options: FollowOptions | None = None,
) -> Followed:
    """The others' timeline bent to a take; what they would still wait for when it ends is left out.

    Args:
        others: everybody else, as written.
        parts: what the players who are heard strike, in the same seconds.
        take: their strokes, in order; never empty.
        options: how they follow.
    """
    options = options or FollowOptions()
    times = _played(others, parts, take, options)
    points = [(strike.seconds, moment) for strike, moment in zip(others.strikes, times, strict=False)]
    points = points or [(_begins_at(parts, take[0]), take[0].moment)]
    begins = max(0.0, -min(moment for _, moment in points))
    # Where the take ends early, so do the others, with the bar they are in.
    last = points[-1][0] if len(times) < len(others.strikes) else math.inf
    bent = bent_timeline(_until(others, len(times), last), SecondsMap(points).later(begins))
    exact = tuple(replace(s, seconds=begins + moment) for s, moment in zip(bent.strikes, times, strict=True))
    return Followed(replace(bent, strikes=exact), begins)


def played_places(moments: tuple[LeaderMoment, ...], take: tuple[TakeStroke, ...]) -> tuple[PlayedPlace, ...]:
    """Where in the piece a take's strokes belong, as the follower heard them in the end."""
    follower = Follower(moments)
    for stroke in take:
        follower.heard(stroke.moment, stroke.pitch)
    return follower.played


def _begins_at(parts: Parts, first: TakeStroke) -> float:
    """Second of the timeline of the first stroke of a take."""
    return parts[first.player or next(iter(parts))][0].seconds


def _played(others: Timeline, parts: Parts, take: tuple[TakeStroke, ...], options: FollowOptions) -> list[float]:
    """When each strike of the others sounds, in the take's seconds; fewer than there are where the take ends early."""
    follower = HeardPlayers(parts, options.give)
    first = _begins_at(parts, take[0])
    times = [take[0].moment + strike.seconds - first for strike in others.strikes if strike.seconds < first - 1e-9]
    for stroke, coming in pairwise((*take, None)):
        assert stroke is not None
        follower.heard(stroke.moment, stroke.pitch, stroke.player)
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


def _until(timeline: Timeline, count: int, last: float) -> Timeline:
    """Its first strikes, up to a second of it."""
    return replace(
        timeline,
        strikes=timeline.strikes[:count],
        seconds=min(timeline.seconds, last),
        bars=tuple(bar for bar in timeline.bars if bar.seconds <= last),
        beats=tuple(beat for beat in timeline.beats if beat.seconds <= last),
        breaths=tuple(breath for breath in timeline.breaths if breath.until <= last),
    )

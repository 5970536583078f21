"""Performances to be followed, made with seeds: moments bent, jittered, with wrong, missed and extra strokes.

Seeds below 100 were used while thresholds were chosen; the tests and the printed figures use those from 100 on.
"""

import math
import random
from collections.abc import Callable
from typing import NamedTuple

from score.following.followed_take import TakeStroke
from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment


def ritardando(seconds: float) -> float:
    """In tempo, and every twenty seconds the last five slow down to two thirds.

    Source: Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999), q = 3.
    """
    place = seconds % 20
    return 1.0 if place < 15 else (1 + ((2 / 3) ** 3 - 1) * (place - 15) / 5) ** (-1 / 3)


def mutual(
    follower: Follower, moments: tuple[LeaderMoment, ...], gain: float, seed: int, kick: float = 0.0
) -> list[float]:
    """Asynchronies, seconds, of a player who keeps half a second a stroke and corrects towards the others as well.

    The linear model of phase correction (Vorberg & Wing, 1996): each step is shorter by a share of the asynchrony.

    Args:
        follower: of the others.
        moments: strokes half a second apart.
        gain: the player's own share of correction.
        seed: of the player's jitter of 10 ms.
        kick: seconds by which the hundredth stroke is displaced.
    """
    rng = random.Random(seed)
    mine = theirs = 1.0
    asynchronies = []
    for index, moment in enumerate(moments[:-4]):
        follower.heard(mine, min(moment.pitches))
        asynchronies.append(mine - theirs)
        coming = mine + 0.5 - gain * (mine - theirs) + rng.gauss(0, 0.01) + (kick if index == 99 else 0.0)
        theirs = max(follower.when(moments[index + 1].seconds), mine + 0.03)
        mine = max(coming, mine + 0.05)
    return asynchronies


class Performance(NamedTuple):
    """What was played.

    Attributes:
        take: the strokes in order.
        moments: when each of the player's moments was played, or would have been.
    """

    take: tuple[TakeStroke, ...]
    moments: tuple[float, ...]


def steady(seconds: float) -> float:
    """Rate of a player who keeps time: real seconds a second of the timeline."""
    del seconds
    return 1.0


def arcs(seconds: float) -> float:
    """Ten percent faster and slower in phrases of eight seconds."""
    return 1 + 0.1 * math.sin(2 * math.pi * seconds / 8)


def performance(
    moments: tuple[LeaderMoment, ...],
    seed: int,
    rate: Callable[[float], float] = steady,
    *,
    jitter: float = 0.01,
    errors: float = 0.0,
    pause: float = 0.0,
) -> Performance:
    """A performance.

    Args:
        moments: what is written.
        seed: of all chance.
        rate: real seconds a second of the timeline, by the second.
        jitter: standard deviation of every stroke, seconds.
        errors: share of moments missed, of wrong pitches and of strokes too many.
        pause: seconds waited before what everybody waits for.
    """
    rng = random.Random(seed)
    take: list[TakeStroke] = []
    played: list[float] = []
    now, before = 1.0, moments[0].seconds
    for moment in moments:
        while before < moment.seconds - 1e-9:
            step = min(0.05, moment.seconds - before)
            now += step * rate(before)
            before += step
        now += pause if moment.waits else 0.0
        at = now + rng.gauss(0, jitter)
        played.append(at)
        if played[1:] and rng.random() < errors:
            continue
        spread = 0.02 if len(moment.pitches) > 1 else 0.0
        for pitch in sorted(moment.pitches):
            take.append(TakeStroke(at + rng.uniform(0, spread), pitch + (rng.random() < errors)))
        if not moment.pitches:
            take.append(TakeStroke(at, None))
        if rng.random() < errors * 2 / 3:
            take.append(TakeStroke(at + rng.uniform(0.05, 0.25), rng.randrange(48, 84)))
    return Performance(tuple(sorted(take, key=lambda stroke: stroke.moment)), tuple(played))

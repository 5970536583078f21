"""Performances to be followed, made with seeds: moments bent, jittered, with wrong, missed and extra strokes.

Seeds below 100 were used while thresholds were chosen; the tests and the printed figures use those from 100 on.
"""

import math
import random
from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple, Protocol

from score.following.followed_take import TakeStroke
from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment
from tests.following.readings import ritardando_factor

_REST = 2.0
"""Seconds: after a longer rest a player listens."""


def ritardando(seconds: float) -> float:
    """In tempo, and every twenty seconds the last five slow down to two thirds.

    With the exponent 3 of `ritardando_factor`.
    """
    place = seconds % 20
    return 1.0 if place < 15 else 1 / ritardando_factor((place - 15) / 5, 2 / 3, 3)


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


class Others(Protocol):
    """Whom the player hears."""

    def heard(self, moment: float, pitch: int | None) -> None:
        """They hear a stroke of the player's."""

    def when(self, seconds: float) -> float:
        """When they will be at a second of the written timeline."""


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
    clock: float = 0.0,
    errors: float = 0.0,
    pause: float = 0.0,
    others: Others | None = None,
) -> Performance:
    """A performance.

    Args:
        moments: what is written.
        seed: of all chance.
        rate: real seconds a second of the timeline, by the second.
        jitter: standard deviation of every stroke, seconds.
        clock: variance of the player's own beat, seconds squared a second; it adds up (Wing & Kristofferson, 1973).
        errors: share of moments missed and of wrong pitches; two thirds of it of strokes too many.
        pause: seconds waited before what everybody waits for.
        others: whom the player hears while resting: after a rest they enter together, within 15 ms.
    """
    rng = random.Random(seed)
    take: list[TakeStroke] = []
    played: list[float] = []
    told, now = 0, 1.0
    for before, moment in pairwise((None, *moments)):
        assert moment is not None
        gap = _passed(before.seconds, moment.seconds, rate) if before else 0.0
        now += gap + (pause if moment.waits else 0.0) + rng.gauss(0, math.sqrt(clock * min(3.0, gap)))
        if before and others and moment.seconds - before.seconds > _REST and not moment.waits:
            told = _tell(others, take, told)
            expected = others.when(moment.seconds)
            now = expected + rng.gauss(0, 0.015) if expected < math.inf else now
        at = max(now + rng.gauss(0, jitter), played[-1] + 0.02 if played else 0.0)
        if before and rng.random() < errors * 2 / 3:
            pitch = min(_numbers(moment if rng.random() < 0.5 else before), default=60) + rng.choice((0, 0, 1, -1, 2))
            take.append(TakeStroke(played[-1] + rng.uniform(0.15, 0.85) * (at - played[-1]), pitch))
        if len(played) < 4 or rng.random() >= errors:
            take += _struck(moment, at, rng, errors)
        played.append(at)
    return Performance(tuple(sorted(take, key=lambda stroke: stroke.moment)), tuple(played))


def _tell(others: Others, take: list[TakeStroke], told: int) -> int:
    """They have heard everything up to a rest; gives back how many strokes that are."""
    take.sort(key=lambda stroke: stroke.moment)
    for stroke in take[told:]:
        others.heard(stroke.moment, stroke.pitch)
    return len(take)


def _numbers(moment: LeaderMoment) -> frozenset[int]:
    return moment.pitches | moment.keys


def _passed(start: float, end: float, rate: Callable[[float], float]) -> float:
    """Real seconds from one second of the timeline to another."""
    steps = max(1, math.ceil((end - start) / 0.05 - 1e-9))
    step = (end - start) / steps
    return sum(step * rate(start + number * step) for number in range(steps))


def _struck(moment: LeaderMoment, at: float, rng: random.Random, errors: float) -> list[TakeStroke]:
    """The notes of a moment: graces before it, a chord not quite together, a roll to its end."""
    pitches: list[int | None] = [*sorted(_numbers(moment))] or [None]
    spread = 0.03 * rng.random() if len(pitches) > 1 else 0.0
    notes = [TakeStroke(at - 0.07, pitch) for pitch in sorted(moment.graces)]
    for pitch in pitches:
        off = rng.choice((-2, -1, 1, 2)) if rng.random() < errors else 0
        notes.append(TakeStroke(at + rng.uniform(-spread / 2, spread / 2), None if pitch is None else pitch + off))
    blow, hand = at + rng.uniform(1 / 14, 1 / 11), 1
    while blow < at + 0.85 * (moment.until - moment.seconds):
        notes.append(TakeStroke(blow, pitches[hand % len(pitches)]))
        blow, hand = blow + 0.08 + rng.gauss(0, 0.006), hand + 1
    return notes

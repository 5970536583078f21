"""The time a player usually takes, learned from earlier takes: where they push, hold back and stretch.

Each take is smoothed into a rate (real seconds a second of the timeline) by a Kalman filter run forwards and back
(Rauch, Tung & Striebel, AIAA J. 3, 1965); the mean of the logarithms over the takes, shrunk towards the written time by
how few there are, is integrated into a map from the timeline's seconds to the player's. A take's own tempo is left out:
the clock finds that by itself.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from score.playback.bent_timeline import SecondsMap

PlayedMoments = Sequence[tuple[float, float]]
"""What was played in a take: seconds of the timeline and the moment in real seconds, both rising."""

_SHRINKING = 0.3
"""A rate from `n` takes counts n / (n + this)."""
_RATE_DRIFT, _BEAT_VARIANCE, _STROKE_VARIANCE = 1e-2, 2e-4, 6e-5
"""Variance a second of the rate and of the beat, and of a stroke. By simulation, no source."""
_HOLD_SHARE, _HOLD_SECONDS = 2.2, 0.5
"""A gap so many times as long as the take's tempo says, and so many seconds longer, was held: no tempo."""
_STRAY = 9.0
"""Square of the deviations from where a stroke says nothing of the time."""
_FEWEST = 4


class TakeRates(NamedTuple):
    """The rate along one take.

    Attributes:
        seconds: of the timeline, rising.
        logs: natural logarithm of the rate there; 0 on the average of the take.
    """

    seconds: tuple[float, ...]
    logs: tuple[float, ...]

    def at(self, seconds: float) -> float | None:
        """Logarithm of the rate at a second of the timeline; None outside the take."""
        if not self.seconds[0] <= seconds <= self.seconds[-1]:
            return None
        index = bisect_right(self.seconds, seconds, 1, len(self.seconds) - 1)
        before, after, log = self.seconds[index - 1], self.seconds[index], self.logs[index - 1]
        return log + (self.logs[index] - log) * (seconds - before) / (after - before)


class UsualPoint(NamedTuple):
    """A point of a timeline.

    Attributes:
        seconds: of the timeline.
        place: where that is in the takes' own seconds.
        turn: which time the place is played there, from 1.
    """

    seconds: float
    place: float
    turn: int = 1


def usual_map(takes: Sequence[Sequence[TakeRates]], points: Sequence[UsualPoint]) -> SecondsMap | None:
    """The map to a player's usual time, None where nothing was learned.

    Args:
        takes: earlier ones, each of as many runs as it went forward in; none of them empty.
        points: of the timeline, rising.
    """
    if not takes:
        return None
    logs = usual_logs(takes, points)
    moved = [points[0].seconds]
    for (before, low), (after, high) in pairwise(zip(points, logs, strict=True)):
        moved.append(moved[-1] + (after.seconds - before.seconds) * math.exp((low + high) / 2))
    return SecondsMap(tuple(zip((point.seconds for point in points), moved, strict=True)))


def usual_logs(takes: Sequence[Sequence[TakeRates]], points: Sequence[UsualPoint]) -> list[float]:
    """Logarithm of the usual rate at each point, 0 where nothing was learned."""
    logs = []
    for point in points:
        there = [log for take in takes if (log := _log_of(take, point)) is not None]
        logs.append(sum(there) / (len(there) + _SHRINKING) if there else 0.0)
    return logs


def _log_of(take: Sequence[TakeRates], point: UsualPoint) -> float | None:
    """What a take says of a point: the same time through it, else the last there was."""
    times = [log for run in take if (log := run.at(point.place)) is not None]
    return times[min(point.turn, len(times)) - 1] if times else None


def take_rates(played: PlayedMoments) -> TakeRates | None:
    """The smoothed rate of a take; None for one too short to say anything."""
    together: list[tuple[float, float]] = []
    for seconds, moment in sorted(played):
        if not together or seconds > together[-1][0] + 1e-6:
            together.append((seconds, moment))
    if len(together) < _FEWEST or together[-1][1] <= together[0][1]:
        return None
    rates = _smoothed(_without_holds(together))
    logs = [math.log(min(3.0, max(0.3, rate))) for rate in rates]
    weights = [b[0] - a[0] for a, b in pairwise(together)]
    mean = sum(weight * log for weight, log in zip(weights, logs, strict=False)) / sum(weights)
    return TakeRates(tuple(seconds for seconds, _ in together), tuple(log - mean for log in logs))


def _without_holds(played: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What was held is taken out."""
    shares = sorted((d - b) / max(0.05, c - a) for (a, b), (c, d) in pairwise(played))
    usual, shift = shares[len(shares) // 2], 0.0
    plain = [played[0]]
    for (a, b), (c, d) in pairwise(played):
        longer = (d - b) - usual * (c - a)
        if longer > _HOLD_SECONDS and d - b > _HOLD_SHARE * usual * (c - a):
            shift += longer
        plain.append((c, d - shift))
    return plain


class _Filtered(NamedTuple):
    """Moment and rate with their variances and covariance."""

    moment: float
    rate: float
    moment_variance: float
    covariance: float
    rate_variance: float


def _smoothed(played: list[tuple[float, float]]) -> list[float]:
    """The rate at every stroke, from all of them."""
    (first, begin), (last, end) = played[0], played[-1]
    state = _Filtered(begin, (end - begin) / (last - first), _STROKE_VARIANCE, covariance=0.0, rate_variance=0.05)
    filtered, foretold = [state], [state]
    for (before, _), (seconds, moment) in pairwise(played):
        ahead = _ahead(state, seconds - before)
        state = _corrected(ahead, moment)
        filtered.append(state)
        foretold.append(ahead)
    moment, rate = state.moment, state.rate
    rates = [rate]
    for index in range(len(played) - 2, -1, -1):
        here, ahead, passed = filtered[index], foretold[index + 1], played[index + 1][0] - played[index][0]
        moment, rate = _backwards(here, ahead, passed, moment, rate)
        rates.append(rate)
    return rates[::-1]


def _ahead(state: _Filtered, passed: float) -> _Filtered:
    moment, rate, a, b, c = state
    return _Filtered(
        moment + rate * passed,
        rate,
        a + 2 * passed * b + passed**2 * c + _BEAT_VARIANCE * passed + _RATE_DRIFT * passed**3 / 3,
        covariance=b + passed * c + _RATE_DRIFT * passed**2 / 2,
        rate_variance=c + _RATE_DRIFT * passed,
    )


def _corrected(state: _Filtered, moment: float) -> _Filtered:
    """A filter's step; a stroke that was not meant there counts for little."""
    error, noise = moment - state.moment, _STROKE_VARIANCE
    spread = state.moment_variance + noise
    if error * error > _STRAY * spread:
        noise += error * error
        spread += error * error
    gain, rate_gain = state.moment_variance / spread, state.covariance / spread
    return _Filtered(
        state.moment + gain * error,
        state.rate + rate_gain * error,
        (1 - gain) * state.moment_variance,
        covariance=(1 - gain) * state.covariance,
        rate_variance=state.rate_variance - rate_gain * state.covariance,
    )


def _backwards(here: _Filtered, ahead: _Filtered, passed: float, moment: float, rate: float) -> tuple[float, float]:
    """One step back: what came later corrects moment and rate."""
    a, b, c = here.moment_variance, here.covariance, here.rate_variance
    p, q, r = ahead.moment_variance, ahead.covariance, ahead.rate_variance
    whole = max(1e-18, p * r - q * q)
    late, faster = moment - ahead.moment, rate - ahead.rate
    u, v = (r * late - q * faster) / whole, (p * faster - q * late) / whole
    along, across = a + passed * b, b + passed * c
    return here.moment + along * u + b * v, here.rate + across * u + c * v

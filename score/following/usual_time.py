"""The time a player usually takes, learned from earlier takes: where they push, hold back and stretch.

Each take is smoothed into a rate (real seconds a second of the timeline) by two Kalman filters, one from its beginning
and one from its end, joined in between (Fraser & Potter, IEEE Trans. Autom. Control 14, 1969, from memory); the mean of
the logarithms over the takes, shrunk towards the written time by how few there are, is integrated into a map from the
timeline's seconds to the player's. A take's own tempo is left out: the clock finds that by itself.
"""

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from score.playback.bent_timeline import SecondsMap

PlayedMoments = Sequence[tuple[float, float]]
"""What was played in a take: seconds of the timeline and the moment in real seconds, both rising."""

_SHRINKING = 0.05
"""A rate from `n` takes counts n / (n + this)."""
_RATE_DRIFT, _BEAT_VARIANCE, _STROKE_VARIANCE = 0.1, 2e-4, 6e-5
"""Variance a second of the rate and of the beat, and of a stroke. By simulation, no source.

The rate may drift far: a bar's end that is stretched, or the tempo that comes back after a ritardando, is a step.
"""
_STEADY_DRIFT, _STEADY, _FAR = 1e-5, 2.0, 9.0
"""Of a take in one tempo, and how many times the variance its strokes may be off on the average, each at the most.

By simulation: steady takes come to 0.2 to 1.4, bent ones to 3.4 to 7.6.
"""
_STEP = 0.25
"""Seconds of the timeline from one rate to the next at the most: within long notes the rate changes too."""
_HOLD_SHARE, _HOLD_SECONDS = 2.2, 0.5
"""A gap so many times as long as the take's tempo says, and so many seconds longer, was held: no tempo."""
_STRAY = 12.0
"""So many times the variance that all other strokes leave: there a stroke says nothing of the time."""
_NEAR, _UNKNOWN = 0.05, 1e4
"""Variances of the rate with which the filters begin: near the take's own, and for the one from its end any."""
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
    places = list(_places(_without_holds(together)))
    logs = [math.log(min(3.0, max(0.3, rate))) for rate in _smoothed(places)]
    runs = zip(pairwise(places), pairwise(logs), strict=True)
    area = sum((b.seconds - a.seconds) * (low + high) / 2 for (a, b), (low, high) in runs)
    mean = area / (places[-1].seconds - places[0].seconds)
    return TakeRates(tuple(place.seconds for place in places), tuple(log - mean for log in logs))


class _TakePlace(NamedTuple):
    """A place of a take; `moment` is None where nothing was struck."""

    seconds: float
    moment: float | None


def _places(played: list[tuple[float, float]]) -> Iterator[_TakePlace]:
    """What was struck, and places between strokes that are far apart."""
    yield _TakePlace(*played[0])
    for (before, _), (seconds, moment) in pairwise(played):
        count = max(1, math.ceil((seconds - before) / _STEP - 1e-9))
        yield from (_TakePlace(before + (seconds - before) * number / count, None) for number in range(1, count))
        yield _TakePlace(seconds, moment)


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

    def ahead(self, passed: float, drift: float) -> "_Filtered":
        """So many seconds of the timeline on; the rate may drift."""
        moment, rate, a, b, c = self
        return _Filtered(
            moment + rate * passed,
            rate,
            a + 2 * passed * b + passed**2 * c + _BEAT_VARIANCE * passed + drift * passed**3 / 3,
            covariance=b + passed * c + drift * passed**2 / 2,
            rate_variance=c + drift * passed,
        )

    def corrected(self, moment: float, variance: float) -> "_Filtered":
        """With a stroke at a moment."""
        error, spread = moment - self.moment, self.moment_variance + variance
        gain, rate_gain = self.moment_variance / spread, self.covariance / spread
        return _Filtered(
            self.moment + gain * error,
            self.rate + rate_gain * error,
            (1 - gain) * self.moment_variance,
            covariance=(1 - gain) * self.covariance,
            rate_variance=self.rate_variance - rate_gain * self.covariance,
        )

    def joined(self, other: "_Filtered") -> "_Filtered":
        """What two that know nothing of each other say together; the other one ran backwards."""
        _, _, a, b, c = self
        p, q, r = a + other.moment_variance, b - other.covariance, c + other.rate_variance
        whole = p * r - q * q
        # Gains: the own variances over the sum of both.
        u, v, x, y = (a * r - b * q) / whole, (b * p - a * q) / whole, (b * r - c * q) / whole, (c * p - b * q) / whole
        late, slower = -other.moment - self.moment, other.rate - self.rate
        return _Filtered(
            self.moment + u * late + v * slower,
            self.rate + x * late + y * slower,
            a - u * a - v * b,
            covariance=b - u * b - v * c,
            rate_variance=c - x * b - y * c,
        )


def _smoothed(places: list[_TakePlace]) -> list[float]:
    """The rate at every place, from all strokes; the first and the last place are strokes."""
    variances = [_STROKE_VARIANCE] * len(places)
    drift = _STEADY_DRIFT if _is_steady(places) else _RATE_DRIFT
    foretold, _, told = _both_ways(places, variances, drift)
    for index, (_, moment) in enumerate(places[1:-1], start=1):
        others = foretold[index].joined(told[index])
        error = (moment - others.moment) ** 2 if moment is not None else 0.0
        if error > _STRAY * (others.moment_variance + _STROKE_VARIANCE):
            variances[index] += error
    _, states, told = _both_ways(places, variances, drift)
    return [state.joined(later).rate for state, later in zip(states[:-1], told, strict=False)] + [states[-1].rate]


def _is_steady(places: list[_TakePlace]) -> bool:
    """Whether one tempo explains a take: its strokes come where those before say, up to chance."""
    foretold, _ = _forwards(places, [_STROKE_VARIANCE] * len(places), _STEADY_DRIFT)
    off = [
        min(_FAR, (place.moment - state.moment) ** 2 / (state.moment_variance + _STROKE_VARIANCE))
        for place, state in zip(places[1:], foretold[1:], strict=True)
        if place.moment is not None
    ]
    return sum(off) < _STEADY * len(off)


def _both_ways(
    places: list[_TakePlace], variances: list[float], drift: float
) -> tuple[list[_Filtered], list[_Filtered], list[_Filtered]]:
    """For every place what the strokes before it say, these and its own, and those after it (backwards)."""
    foretold, states = _forwards(places, variances, drift)
    mirrored = [_TakePlace(-seconds, None if moment is None else -moment) for seconds, moment in reversed(places)]
    told, _ = _forwards(mirrored, variances[::-1], drift, _UNKNOWN)
    return foretold, states, told[::-1]


def _forwards(
    places: list[_TakePlace], variances: list[float], drift: float, rate_variance: float = _NEAR
) -> tuple[list[_Filtered], list[_Filtered]]:
    """What is foretold for every place, and what is known there with its stroke; it begins at the take's own rate."""
    begin, end = places[0].moment, places[-1].moment
    assert begin is not None
    assert end is not None
    rate = (end - begin) / (places[-1].seconds - places[0].seconds)
    state = _Filtered(begin, rate, variances[0], covariance=0.0, rate_variance=rate_variance)
    foretold, states = [state], [state]
    for (before, place), variance in zip(pairwise(places), variances[1:], strict=True):
        ahead = state.ahead(place.seconds - before.seconds, drift)
        state = ahead.corrected(place.moment, variance) if place.moment is not None else ahead
        foretold.append(ahead)
        states.append(state)
    return foretold, states

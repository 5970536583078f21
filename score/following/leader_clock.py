"""When the next stroke of a player is to be expected: five ways to play, weighed against each other at every stroke.

Each way is a Kalman filter of two states, the moment at which the last stroke was meant and the rate (real seconds a
second of the timeline); they differ in how fast the rate may drift and how unsteady the strokes are. Their weights
follow how well each foretold what came (interacting multiple models: Blom & Bar-Shalom, IEEE Trans. Autom. Control 33,
1988). Variances by simulation, no source.
"""

import math
from typing import NamedTuple

SLOWEST, FASTEST = 2.5, 0.4
"""The largest and the smallest rate."""
_STROKE_VARIANCE = 1e-4
_STAY = 0.97
"""Likelihood that a player goes on in the same way from one stroke to the next."""


class Way(NamedTuple):
    """One way to play.

    Attributes:
        drift: variance of the rate a second.
        unsteady: variance of the beat a second, seconds squared.
    """

    drift: float
    unsteady: float


WAYS = (Way(0.0, 3e-6), Way(1e-6, 2e-4), Way(3e-3, 2e-4), Way(4e-2, 5e-4), Way(1e-6, 3e-3))
"""Still, steady, bending, a leap to another tempo, one stroke displaced."""


class _Belief(NamedTuple):
    """What one filter believes: the moment, the rate, and how sure it is of them (variances and covariance)."""

    moment: float
    rate: float
    moment_variance: float = 1e-4
    covariance: float = 0.0
    rate_variance: float = 0.02


class LeaderClock:
    """Expects a player's strokes.

    Args:
        seconds: of the first stroke on the timeline.
        moment: when it was heard.
    """

    def __init__(self, seconds: float, moment: float) -> None:
        self.seconds = seconds
        self._states = tuple(_Belief(moment, 1.0) for _ in WAYS)
        self._weights = tuple(1 / len(WAYS) for _ in WAYS)

    @property
    def moment(self) -> float:
        """When the last stroke was meant."""
        return sum(w * state.moment for w, state in zip(self._weights, self._states, strict=True))

    @property
    def rate(self) -> float:
        """Real seconds a second of the timeline."""
        return sum(w * state.rate for w, state in zip(self._weights, self._states, strict=True))

    def expected(self, seconds: float) -> float:
        """When a place of the timeline is to be expected."""
        return self.moment + self.rate * (seconds - self.seconds)

    def place(self, seconds: float, moment: float) -> None:
        """A stroke that says where the player is, not how fast: after a hold or a rest."""
        rate = self.rate
        self._states = tuple(_Belief(moment, rate, _STROKE_VARIANCE, covariance=0.0, rate_variance=0.01) for _ in WAYS)
        self._weights = tuple(1 / len(WAYS) for _ in WAYS)
        self.seconds = seconds

    def heard(self, seconds: float, moment: float) -> None:
        """A stroke at its place of the timeline."""
        passed = max(0.0, seconds - self.seconds)
        self.seconds = seconds
        off = (1 - _STAY) / (len(WAYS) - 1)
        states, weights = [], []
        for index, way in enumerate(WAYS):
            shares = [(_STAY if other == index else off) * weight for other, weight in enumerate(self._weights)]
            state, likelihood = _updated(_mixed(self._states, shares), way, passed, moment)
            states.append(state)
            weights.append(likelihood * sum(shares))
        total = sum(weights)
        self._states, self._weights = tuple(states), tuple(weight / total for weight in weights)


def _mixed(states: tuple[_Belief, ...], shares: list[float]) -> _Belief:
    """One state in place of several, with their mean and all their spread."""
    total = sum(shares)
    parts = [(share / total, state) for share, state in zip(shares, states, strict=True)]
    moment, rate = sum(w * s.moment for w, s in parts), sum(w * s.rate for w, s in parts)
    return _Belief(
        moment,
        rate,
        sum(w * (s.moment_variance + (s.moment - moment) ** 2) for w, s in parts),
        covariance=sum(w * (s.covariance + (s.moment - moment) * (s.rate - rate)) for w, s in parts),
        rate_variance=sum(w * (s.rate_variance + (s.rate - rate) ** 2) for w, s in parts),
    )


def _updated(state: _Belief, way: Way, passed: float, moment: float) -> tuple[_Belief, float]:
    """A filter's step, and how likely the stroke was to it."""
    spread = state.moment_variance + 2 * passed * state.covariance + passed**2 * state.rate_variance
    spread += way.unsteady * passed + way.drift * passed**3 / 3
    covariance = state.covariance + passed * state.rate_variance + way.drift * passed**2 / 2
    rate_variance = state.rate_variance + way.drift * passed
    foretold = state.moment + state.rate * passed
    error, variance = moment - foretold, spread + _STROKE_VARIANCE
    gain, rate_gain = spread / variance, covariance / variance
    rate = min(SLOWEST, max(FASTEST, state.rate + rate_gain * error))
    likelihood = math.exp(max(-60.0, -0.5 * error * error / variance)) / math.sqrt(variance) + 1e-9
    return (
        _Belief(
            foretold + gain * error,
            rate,
            (1 - gain) * spread,
            covariance=(1 - gain) * covariance,
            rate_variance=rate_variance - rate_gain * covariance,
        ),
        likelihood,
    )

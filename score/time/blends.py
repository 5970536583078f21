"""Stretches over which several curves bend the tempo at once: shapes over one another, or over a written change.

The speed is the product of the curves, and the seconds are the integral of its inverse. That has no closed form, so it
is summed numerically, by Gauss and Legendre's rule over runs so short that no curve's own quantity (speed to the power
of its exponent) changes by more than `_MOST_GROWTH`: its error is then below 1e-14 of the seconds.
Source of the rule: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 25.4.29.
"""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from score.time.tempo_map import Stretch

_POINTS = 20
_MOST_GROWTH = 8.0
_TINY = 1e-14


class Blend(NamedTuple):
    """A run of quarters over which the speed is the product of several curves.

    Attributes:
        start, end: quarters from the beginning.
        curves: each covers the run; the first in quarters a second, the others factors.
    """

    start: Fraction
    end: Fraction
    curves: tuple[Stretch, ...]

    def speed(self, quarters: float) -> float:
        """Quarters a second at so many quarters after the start."""
        speed = 1.0
        for curve in self.curves:
            speed *= curve.speed(quarters + float(self.start - curve.start))
        return speed

    def seconds(self, quarters: float) -> float:
        """Seconds from the start to so many quarters after it."""
        half = quarters / 2
        return half * sum(weight / self.speed(half * (1 + node)) for node, weight in gauss_legendre(_POINTS))

    def quarters(self, seconds: float) -> float:
        """The inverse of `seconds`, by Newton's method: the slope is the speed.

        A step that would leave the run, outside of which a curve has no speed, halves what is left of it instead.
        """
        low, high = 0.0, float(self.end - self.start)
        whole = self.seconds(high)
        if seconds >= whole:
            return high + (seconds - whole) * self.speed(high)
        at = high * seconds / whole
        for _ in range(100):
            missing = seconds - self.seconds(at)
            low, high = (at, high) if missing > 0 else (low, at)
            step = missing * self.speed(at)
            at = at + step if low <= at + step <= high else (low + high) / 2
            if abs(step) <= _TINY * (1 + at):
                break
        return at

    def moved(self, by: Fraction) -> "Blend":
        """The same so many quarters later."""
        return Blend(self.start + by, self.end + by, tuple(curve.moved(by) for curve in self.curves))


def blended(start: Fraction, end: Fraction, curves: Sequence[Stretch]) -> Iterator[Blend]:
    """The product of curves over a run, cut where one of them changes much."""
    if any(_growth(curve, start, end) > _MOST_GROWTH for curve in curves):
        middle = (start + end) / 2
        yield from blended(start, middle, curves)
        yield from blended(middle, end, curves)
    else:
        yield Blend(start, end, tuple(curves))


def _growth(curve: Stretch, start: Fraction, end: Fraction) -> float:
    first, last = (curve.speed(float(at - curve.start)) for at in (start, end))
    return float(max(first / last, last / first) ** curve.q)


@lru_cache(maxsize=4)
def gauss_legendre(points: int) -> tuple[tuple[float, float], ...]:
    """Nodes between -1 and 1 and their weights: the roots of a Legendre polynomial, by Newton's method."""
    pairs = []
    for index in range(points):
        node, slope = math.cos(math.pi * (index + 0.75) / (points + 0.5)), 1.0
        for _ in range(20):
            value, slope = _legendre(points, node)
            node -= value / slope
        pairs.append((node, 2 / ((1 - node * node) * slope * slope)))
    return tuple(pairs)


def _legendre(degree: int, at: float) -> tuple[float, float]:
    """A Legendre polynomial and its slope."""
    before, value = 1.0, at
    for k in range(2, degree + 1):
        before, value = value, ((2 * k - 1) * at * value - (k - 1) * before) / k
    return value, degree * (at * value - before) / (at * at - 1)

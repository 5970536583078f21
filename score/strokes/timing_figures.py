"""What the offsets of a pass say, with how sure it is: mean, spread, drift. Nothing where the strokes are too few.

A player corrects from stroke to stroke, so offsets are no independent draws: the usual interval of a mean covers the
truth half the time. The half-width here widens it by the correlation of each stroke with the next, which covers in
simulations of such players (a test repeats them).
"""

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from statistics import NormalDist, fmean
from typing import NamedTuple

LEAST_FOR_MEAN, LEAST_FOR_SPREAD = 30, 16
"""Strokes under which nothing is said."""
_LOWEST_LAG, _HIGHEST_LAG = -0.3, 0.9
_SURE = 1.96


class Figure(NamedTuple):
    """A mean and how far it may be off.

    Attributes:
        mean: milliseconds.
        half: half the width of the 95 % interval, milliseconds.
        strokes: how many it comes from.
    """

    mean: float
    half: float
    strokes: int

    @property
    def interval(self) -> tuple[float, float]:
        """Both ends."""
        return self.mean - self.half, self.mean + self.half


def spread(offsets: Sequence[float]) -> float:
    """Standard deviation of offsets, in their unit; 0 for fewer than two."""
    if len(offsets) < 2:
        return 0.0
    mean = fmean(offsets)
    return sqrt(sum((offset - mean) ** 2 for offset in offsets) / (len(offsets) - 1))


def lag_one(offsets: Sequence[float]) -> float:
    """Correlation of each offset with the next, its bias for few strokes taken out (Kendall, 1954)."""
    mean = fmean(offsets)
    power = sum((offset - mean) ** 2 for offset in offsets)
    if power <= 0 or len(offsets) < 3:
        return 0.0
    both = sum((a - mean) * (b - mean) for a, b in pairwise(offsets))
    lag = both / power
    return lag + (1 + 3 * lag) / len(offsets)


def mean_figure(offsets: Sequence[float]) -> Figure:
    """The mean of offsets in the order they were played, with a half-width that allows for their correlation.

    Args:
        offsets: two or more.
    """
    lag = min(_HIGHEST_LAG, max(_LOWEST_LAG, lag_one(offsets)))
    half = _SURE * spread(offsets) / sqrt(len(offsets)) * sqrt((1 + lag) / (1 - lag))
    return Figure(fmean(offsets), half, len(offsets))


def widened(values: Sequence[float]) -> Figure:
    """The mean of values that are independent of one another and few: Student's interval.

    Args:
        values: two or more, such as the means of whole passes.
    """
    freedom = len(values) - 1
    return Figure(fmean(values), _student(freedom) * spread(values) / sqrt(len(values)), len(values))


def difference(first: Figure, second: Figure) -> Figure:
    """The second mean less the first, both sure as far as they go."""
    half = sqrt(first.half**2 + second.half**2)
    return Figure(second.mean - first.mean, half, first.strokes + second.strokes)


def drift(offsets: Sequence[float]) -> tuple[Figure, Figure] | None:
    """The means of the first and the last third of a pass; None under 30 strokes."""
    if len(offsets) < LEAST_FOR_MEAN:
        return None
    third = len(offsets) // 3
    return mean_figure(offsets[:third]), mean_figure(offsets[-third:])


def slope_figure(places: Sequence[float], offsets: Sequence[float]) -> Figure:
    """How much later each second than the last: the least-squares slope, milliseconds a second, with its half-width.

    Args:
        places: seconds, three or more.
        offsets: milliseconds there.
    """
    middle, mean = fmean(places), fmean(offsets)
    power = sum((place - middle) ** 2 for place in places)
    slope = sum((p - middle) * (o - mean) for p, o in zip(places, offsets, strict=True)) / power
    rest = [o - mean - slope * (p - middle) for p, o in zip(places, offsets, strict=True)]
    lag = min(_HIGHEST_LAG, max(_LOWEST_LAG, lag_one(rest)))
    error = sqrt(sum(r * r for r in rest) / (len(rest) - 2) / power)
    return Figure(slope, _SURE * error * sqrt((1 + lag) / (1 - lag)), len(places))


def _student(freedom: int) -> float:
    """The 97.5 % point of Student's distribution (Abramowitz & Stegun 26.7.5, within 1 % from two on)."""
    z = NormalDist().inv_cdf(0.975)
    g1, g2 = (z**3 + z) / 4, (5 * z**5 + 16 * z**3 + 3 * z) / 96
    g3 = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    g4 = (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160
    return z + g1 / freedom + g2 / freedom**2 + g3 / freedom**3 + g4 / freedom**4

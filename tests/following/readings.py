"""How a player bends the time, made with seeds: a reading that comes back from take to take, each take a little other.

Harsher than most playing: arcs, wandering, bar ends stretched and ritardandi straight back in tempo, all at once.
"""

import math
import random
from bisect import bisect_right

_STEP = 1 / 16
"""Quarters from one point of a curve to the next."""


def ritardando_factor(place: float, goal: float, exponent: float) -> float:
    """Tempo at a place from 0 to 1 of a slowing down to a goal.

    Source: Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999), eq. 1; exponents from 2 to 3 fit dancers and runners.
    """
    return float((1 + (goal**exponent - 1) * place) ** (1 / exponent))


class Rubato:
    """A rate (real seconds a second of the timeline) by the second.

    Args:
        seed: of the reading.
        take: which take of it: each has its own depth, wandering and tempo; none is the reading itself.
        quarter: seconds of a quarter on the timeline.
        quarters: how many there are.
    """

    def __init__(self, seed: int, take: int | None, quarter: float, quarters: int) -> None:
        rng = random.Random(f"reading {seed}")
        own = random.Random(f"take {seed} {take}") if take is not None else None
        depth = own.uniform(0.7, 1.3) if own else 1.0
        count = round(quarters / _STEP) + 1
        logs = [depth * value for value in _arcs_and_wander(rng, count)]
        for end in range(64, quarters, 64):
            goal, exponent = rng.uniform(0.6, 0.8), rng.uniform(2, 3)
            goal = min(0.95, goal * math.exp(own.gauss(0, 0.08))) if own else goal
            for index in range(round((end - 8) / _STEP), round(end / _STEP)):
                logs[index] += math.log(ritardando_factor((index * _STEP - end + 8) / 8, goal, exponent))
        for end in range(4, quarters, 4):
            stretch = depth * abs(rng.gauss(0, 0.04))
            for index in range(round((end - 1) / _STEP), round(end / _STEP)):
                logs[index] -= stretch
        if own:
            tempo = own.gauss(0, 0.03)
            logs = [value + wander + tempo for value, wander in zip(logs, _wander(own, count, 0.025), strict=True)]
        self._rates = [math.exp(-value) for value in logs]
        self._points = [index * _STEP * quarter for index in range(count)]

    def __call__(self, seconds: float) -> float:
        return self._rates[max(0, bisect_right(self._points, seconds) - 1)]


def _arcs_and_wander(rng: random.Random, count: int) -> list[float]:
    phase, period = rng.uniform(0, 2 * math.pi), rng.choice((12, 16, 16, 24))
    arcs = [math.log1p(0.1 * math.sin(2 * math.pi * index * _STEP / period + phase)) for index in range(count)]
    return [arc + wander for arc, wander in zip(arcs, _wander(rng, count, 0.05), strict=True)]


def _wander(rng: random.Random, count: int, deviation: float) -> list[float]:
    """Logarithms of the tempo that come back to 0 within eight quarters or so."""
    keep = math.exp(-_STEP / 8)
    values = [rng.gauss(0, deviation)]
    while len(values) < count:
        values.append(keep * values[-1] + rng.gauss(0, deviation * math.sqrt(1 - keep * keep)))
    return values

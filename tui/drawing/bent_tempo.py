"""A tempo curve over bars: a block a column, quarters a minute at its corners."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

_BLOCKS = "▁▂▃▄▅▆▇█"
_MOST_CORNERS = 6


class TempoCurve(NamedTuple):
    """The tempo over some bars.

    Attributes:
        points: (quarters from the beginning of the run, quarters a minute), rising; two at one place are a jump.
    """

    points: tuple[tuple[Fraction, float], ...]

    def sign(self, at: Fraction) -> str:
        """A block as high as the tempo there, between the slowest and the quickest of the curve; "" outside it."""
        if not self.points or not self.points[0][0] <= at < self.points[-1][0]:
            return ""
        low, high = min(tempo for _, tempo in self.points), max(tempo for _, tempo in self.points)
        share = (self.tempo(at) - low) / (high - low) if high > low else 0.5
        return _BLOCKS[min(len(_BLOCKS) - 1, int(share * len(_BLOCKS)))]

    def tempo(self, at: Fraction) -> float:
        """Quarters a minute at a moment, straight from point to point."""
        index = bisect_right([place for place, _ in self.points], at) - 1
        (start, before), (end, after) = self.points[max(0, index)], self.points[min(len(self.points) - 1, index + 1)]
        return before + (after - before) * float((at - start) / (end - start)) if end > start else after

    def corners(self) -> tuple[tuple[Fraction, str], ...]:
        """Where it turns, with quarters a minute in whole figures; the same figure is not said twice running."""
        texts: list[tuple[Fraction, str]] = []
        for at, tempo in _spread(self.points):
            if not texts or texts[-1][1] != f"{tempo:.0f}":
                texts.append((at, f"{tempo:.0f}"))
        return tuple(texts)


def _spread(points: Sequence[tuple[Fraction, float]]) -> Sequence[tuple[Fraction, float]]:
    """At most a few points, first and last among them."""
    if len(points) <= _MOST_CORNERS:
        return points
    last = len(points) - 1
    return [points[round(number * last / (_MOST_CORNERS - 1))] for number in range(_MOST_CORNERS)]

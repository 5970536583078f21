"""Matching along with the machine: which heard stroke belongs to which expected one, by a banded dynamic programme.

Both run in one time but for an offset and a spread, which are found again from the matching itself. Every expected
stroke is played once or missed, every heard one belongs to an expected one or to none, and neither order is broken.
Only pairs within a window of each other are looked at, so the work grows with the strokes and not with their square.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import accumulate
from statistics import median
from typing import NamedTuple

WINDOW = 0.25
"""Seconds a stroke may be off its moment, the offset of the whole taken off."""
_ROUNDS = 3
_LEAST_PAIRS = 8
_NARROWEST, _WIDEST = 0.012, 0.06
_MAD = 1.483
"""From the median distance to a standard deviation, of a normal distribution."""
_SOFT = 8.0
"""What a pair costs at the most for its distance: a stroke of its own is as dear."""


class Hearing(NamedTuple):
    """One moment at which something was heard.

    Attributes:
        seconds: on the expected strokes' own clock, but for the offset that is sought.
        ignored: cost of taking it for no stroke of the score.
        used: cost of taking it for one.
        pitches: what was heard there, empty where no pitch is known.
    """

    seconds: float
    ignored: float = 4.0
    used: float = 0.0
    pitches: frozenset[int] = frozenset()


class Wish(NamedTuple):
    """One moment at which something is expected.

    Attributes:
        seconds: when.
        missed: cost of its not being played.
        pitches: what is written, empty where no pitch is.
    """

    seconds: float
    missed: float = 4.0
    pitches: frozenset[int] = frozenset()


class Match(NamedTuple):
    """Which belongs to which.

    Attributes:
        heard: for each expected stroke the index of what was heard for it, None where it was missed.
        offset: seconds by which the whole is late.
        spread: seconds, the robust standard deviation round it.
        cost: of the whole.
    """

    heard: tuple[int | None, ...]
    offset: float
    spread: float
    cost: float


class MatchCosts(NamedTuple):
    """How a match is weighed.

    Attributes:
        wrong: cost of a pitch that is wholly another one.
        spread: seconds, to begin with.
        offset: seconds, to begin with.
        window: seconds.
    """

    wrong: float = 3.0
    spread: float = 0.04
    offset: float = 0.0
    window: float = WINDOW


def match(wanted: Sequence[Wish], heard: Sequence[Hearing], costs: MatchCosts | None = None) -> Match:
    """The cheapest way to take what was heard for what is wanted.

    Args:
        wanted: in order of their moments.
        heard: in order of their moments.
        costs: how it is weighed.
    """
    costs = costs or MatchCosts()
    offset, spread = costs.offset, costs.spread
    pairs: list[int] = []
    cost = 0.0
    for turn in range(_ROUNDS):
        pairs, cost = _CostTable(wanted, heard, offset, spread, costs=costs).cheapest()
        distances = [heard[j].seconds - wanted[i].seconds for j, i in enumerate(pairs) if i >= 0]
        if len(distances) < _LEAST_PAIRS or turn == _ROUNDS - 1:
            break
        offset = median(distances)
        spread = min(_WIDEST, max(_NARROWEST, 1.3 * _MAD * median(abs(d - offset) for d in distances)))
    heard_for: list[int | None] = [None] * len(wanted)
    for j, i in enumerate(pairs):
        if i >= 0:
            heard_for[i] = j
    return Match(tuple(heard_for), offset, spread, cost=cost)


class _CostTable:
    """One dynamic programme: row j says what the first j heard strokes cost with the first i expected ones settled."""

    def __init__(
        self, wanted: Sequence[Wish], heard: Sequence[Hearing], offset: float, spread: float, *, costs: MatchCosts
    ) -> None:
        self.wanted, self.heard, self.costs = wanted, heard, costs
        self.offset, self.spread = offset, spread
        moments = [want.seconds for want in wanted]
        self.missed_before = [0.0, *accumulate(want.missed for want in wanted)]
        lows = [bisect_left(moments, h.seconds - offset - costs.window) for h in heard]
        self.highs = list(accumulate((bisect_right(moments, h.seconds - offset + costs.window) for h in heard), max))
        self.lows = list(accumulate(reversed(lows), min))[::-1]

    def cheapest(self) -> tuple[list[int], float]:
        """For each heard stroke the expected one, -1 for none; and the cost of it all."""
        start, row = 0, [0.0]
        steps: list[tuple[int, list[int]]] = []
        for j in range(len(self.heard)):
            start, row, step = self._next(j, start, row)
            steps.append((start, step))
        ends = [cost + self._missed(start + k, len(self.wanted)) for k, cost in enumerate(row)]
        best = min(range(len(ends)), key=ends.__getitem__)
        return self._back(steps, start + best), ends[best]

    def _missed(self, first: int, last: int) -> float:
        return self.missed_before[last] - self.missed_before[first]

    def _next(self, j: int, start: int, row: list[float]) -> tuple[int, list[float], list[int]]:
        """The row after one more heard stroke: where it begins, its costs, and how each was come by."""
        low, high = self.lows[j], max(self.highs[j], self.lows[j])
        before = self._widened(start, row, low, high)
        ignored = self.heard[j].ignored
        costs: list[float] = []
        steps: list[int] = []
        for k in range(high - low + 1):
            cost, step = before[k] + ignored, 0
            if k:
                paired = before[k - 1] + self._pair(low + k - 1, j)
                if paired < cost:
                    cost, step = paired, 1
                missed = costs[k - 1] + self.wanted[low + k - 1].missed
                if missed < cost:
                    cost, step = missed, 2
            costs.append(cost)
            steps.append(step)
        return low, costs, steps

    def _widened(self, start: int, row: list[float], low: int, high: int) -> list[float]:
        """The row before in the columns of the next: what lies beyond its end was missed."""
        last = start + len(row) - 1
        return [
            row[i - start] if i <= last else row[-1] + self._missed(last, i) for i in range(max(low, start), high + 1)
        ]

    def _pair(self, i: int, j: int) -> float:
        want, heard = self.wanted[i], self.heard[j]
        away = (heard.seconds - self.offset - want.seconds) / self.spread
        cost = min(0.5 * away * away, _SOFT) + heard.used
        if heard.pitches and want.pitches and heard.pitches != want.pitches:
            shared = len(heard.pitches & want.pitches) / len(heard.pitches | want.pitches)
            cost += self.costs.wrong * (1 - shared)
        return cost

    def _back(self, steps: list[tuple[int, list[int]]], column: int) -> list[int]:
        pairs = [-1] * len(steps)
        j = len(steps) - 1
        while j >= 0:
            low, step = steps[j]
            k = min(column - low, len(step) - 1)
            column = low + k
            if step[k] == 2:
                column -= 1
                continue
            if step[k] == 1:
                pairs[j] = column - 1
                column -= 1
            j -= 1
        return pairs

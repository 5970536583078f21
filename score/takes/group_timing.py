"""How a group's players stand to each other: asynchrony pair by pair and bar by bar, and who leads whom.

Asynchrony is the standard deviation of the differences between onsets that are written together (Rasch, 1979). Who
leads is told by bars: whose changes of pace come back in the other's a bar later.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from math import atanh, log, sqrt
from typing import NamedTuple

from score.strokes.timing_figures import LEAST_FOR_MEAN, LEAST_FOR_SPREAD, Figure, mean_figure, spread
from score.takes.group_hearing import GroupHeard, PlayerHeard

PUBLISHED_MS = (27.0, 49.0)
"""Asynchronies of professional trios of winds and strings (Rasch, 1979)."""
LEAST_BARS = 16
_SURE = 1.96


class PairTiming(NamedTuple):
    """Two players.

    Attributes:
        first: number of the one.
        second: number of the other.
        shared: how many moments written for both were heard from both.
        later: how much later the second is than the first, milliseconds; None under 30 moments.
        asynchrony_ms: standard deviation of the differences; None under 16.
        bars: mean difference by bar index, milliseconds.
        leader: number of the one whose pace the other takes up a bar later; None where nobody surely does.
    """

    first: int
    second: int
    shared: int
    later: Figure | None
    asynchrony_ms: float | None
    bars: tuple[tuple[int, float], ...]
    leader: int | None


def pair_timings(group: GroupHeard) -> tuple[PairTiming, ...]:
    """Every pair of players."""
    return tuple(_pair(first, second) for first, second in combinations(group.players, 2))


def _pair(first: PlayerHeard, second: PlayerHeard) -> PairTiming:
    moments = _by_offset(second)
    differences: list[float] = []
    bars: dict[int, list[float]] = defaultdict(list)
    for stroke, moment in zip(first.expected.strokes, first.moments, strict=True):
        other = moments.get(stroke.offset)
        if moment is not None and other is not None:
            differences.append(1000 * (other - moment))
            bars[stroke.bar].append(differences[-1])
    return PairTiming(
        first.player,
        second.player,
        len(differences),
        later=mean_figure(differences) if len(differences) >= LEAST_FOR_MEAN else None,
        asynchrony_ms=spread(differences) if len(differences) >= LEAST_FOR_SPREAD else None,
        bars=tuple((bar, sum(values) / len(values)) for bar, values in sorted(bars.items())),
        leader=_leader(first, second),
    )


def _by_offset(heard: PlayerHeard) -> dict[Fraction, float]:
    pairs = zip(heard.expected.strokes, heard.moments, strict=True)
    return {stroke.offset: moment for stroke, moment in pairs if moment is not None}


def _leader(first: PlayerHeard, second: PlayerHeard) -> int | None:
    """Whose pace comes back in the other's a bar later, where the difference of both correlations is sure."""
    ours, theirs = _paces(first), _paces(second)
    bars = [bar for bar in ours if bar in theirs and bar + 1 in ours and bar + 1 in theirs]
    if len(bars) < LEAST_BARS:
        return None
    leads = _correlation([ours[bar] for bar in bars], [theirs[bar + 1] for bar in bars])
    follows = _correlation([theirs[bar] for bar in bars], [ours[bar + 1] for bar in bars])
    apart = atanh(leads) - atanh(follows)
    if abs(apart) < _SURE * sqrt(2 / (len(bars) - 3)) or max(leads, follows) <= 0:
        return None
    return first.player if apart > 0 else second.player


def _paces(heard: PlayerHeard) -> dict[int, float]:
    """Logarithm of the real length of each bar over its written one, by the number of the bar on the route."""
    visits = heard.expected.route.visits
    firsts: dict[int, tuple[float, float]] = {}
    for stroke, moment in zip(heard.expected.strokes, heard.moments, strict=True):
        number = bisect_right(visits, stroke.offset, key=lambda visit: visit.offset) - 1
        if moment is not None and number not in firsts:
            firsts[number] = (stroke.seconds, moment)
    return {
        bar: log((played - before) / (written - start))
        for (bar, (start, before)), (after, (written, played)) in pairwise(sorted(firsts.items()))
        if after == bar + 1 and played > before
    }


def _correlation(xs: Sequence[float], ys: Sequence[float]) -> float:
    mean_x, mean_y = sum(xs) / len(xs), sum(ys) / len(ys)
    both = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True))
    power = sqrt(sum((x - mean_x) ** 2 for x in xs) * sum((y - mean_y) ** 2 for y in ys))
    return max(-0.99, min(0.99, both / power)) if power > 0 else 0.0

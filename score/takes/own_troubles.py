"""Which demand of the music goes with trouble for one player: learned from their own takes, and only when it is sure.

Over the chunks that were heard, each measure of own work is ranked against the share of strokes that were not together
(Spearman, 1904). Of several measures one looks telling by chance now and then, so the best is compared with the best of
the same takes shuffled over the chunks (a permutation test of the largest statistic; Westfall & Young, 1993).
"""

import random
from collections.abc import Mapping, Sequence
from statistics import fmean
from typing import NamedTuple

from score.chunks.chunk import ChunkDemands
from score.chunks.demands import figure, own_scales
from score.takes.judged_pass import JudgedPass, StrokeState
from score.takes.lost_runs import told_strokes

LEAST_CHUNKS = 6
_LATEST = 3
_SHUFFLES, _SURE = 999, 0.05
_WEIGHT = 2.0
"""How much more the measure counts for this player."""


class OwnTrouble(NamedTuple):
    """What a player's takes teach.

    Attributes:
        kind: the measure, as the chunks' demands call it.
        chunks: over how many chunks.
        rank: rank correlation with trouble, to 1.
    """

    kind: str
    chunks: int
    rank: float


def trouble_in(passes: Sequence[JudgedPass]) -> float | None:
    """Share of written strokes not together over the latest passes of a chunk; None where nothing was judged."""
    shares = []
    for judgement in [judgement for judgement in passes if judgement.judged][-_LATEST:]:
        told = told_strokes(judgement)
        if told:
            shares.append(sum(stroke.state is not StrokeState.TOGETHER for stroke in told) / len(told))
    return fmean(shares) if shares else None


def own_trouble(asked: Sequence[ChunkDemands], player: int, troubles: Mapping[int, float]) -> OwnTrouble | None:
    """The measure that goes with a player's trouble; None while that is not sure.

    Args:
        asked: what each chunk asks, in order.
        player: number.
        troubles: position of a chunk to its trouble, of those that were heard.
    """
    if len(troubles) < LEAST_CHUNKS:
        return None
    positions = sorted(troubles)
    values = {kind: [_value(asked[at], player, kind) for at in positions] for kind in own_scales()}
    ranked = {kind: _ranks(row) for kind, row in values.items() if len(set(row)) > 1}
    trouble = _ranks([troubles[at] for at in positions])
    if not ranked:
        return None
    best = max(ranked, key=lambda kind: _correlation(ranked[kind], trouble))
    rank = _correlation(ranked[best], trouble)
    chance = random.Random(0)
    shuffled = list(trouble)
    as_good = 0
    for _ in range(_SHUFFLES):
        chance.shuffle(shuffled)
        as_good += max(_correlation(row, shuffled) for row in ranked.values()) >= rank - 1e-12
    is_sure = (1 + as_good) / (1 + _SHUFFLES) <= _SURE
    return OwnTrouble(best, len(positions), rank) if is_sure else None


def own_figure(asked: ChunkDemands, player: int, trouble: OwnTrouble | None) -> float:
    """The own-work figure of a chunk, with what the player's takes teach; never below the usual one.

    Args:
        asked: what the chunk asks.
        player: number.
        trouble: what was learned, None for nothing.
    """
    if trouble is None:
        return asked.own(player)
    scales = own_scales()
    scales[trouble.kind] /= _WEIGHT
    return figure({kind: _value(asked, player, kind) for kind in scales}, scales)


def _value(asked: ChunkDemands, player: int, kind: str) -> float:
    demands = next((entry.demands for entry in asked.players if entry.player == player), ())
    return next((demand.value for demand in demands if demand.kind == kind), 0.0)


def _ranks(values: Sequence[float]) -> list[float]:
    """Ranks from 1; equal values share the mean of theirs."""
    ordered = sorted(values)
    first = {value: ordered.index(value) for value in set(values)}
    count = {value: ordered.count(value) for value in set(values)}
    return [first[value] + (count[value] + 1) / 2 for value in values]


def _correlation(first: Sequence[float], second: Sequence[float]) -> float:
    middle = (len(first) + 1) / 2
    both = sum((a - middle) * (b - middle) for a, b in zip(first, second, strict=True))
    power = sum((a - middle) ** 2 for a in first) * sum((b - middle) ** 2 for b in second)
    return both / power**0.5 if power > 0 else 0.0

"""Whether given sticks hold every tube: a packing, a proof that there is none, or neither in time."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from time import monotonic

import numpy as np

from score.tubes.cutting.packing import Bin, quick_packing
from score.tubes.cutting.packing_bounds import TINY, Numbers, Pieces, Prices, Whole, by_length, pieces_of
from score.tubes.cutting.packing_programs import cover
from score.tubes.cutting.patterns import Bound, Columns, tight
from score.tubes.cutting.tight_sticks import MANY, Cuts, Found, filled

Answer = tuple[list[Bin] | None, bool]
"""The packing, None without one; whether that is sure."""


_EASY, _HARD = 1200, 6000
"""Fillings the integer program goes through at once, and those it does not even begin on."""

_DIVES = 8

_LONG = 0.6
"""Seconds the integer program may take at once."""


class Holding:
    """Answers about one set of tubes; what one answer taught serves the next."""

    def __init__(self, sizes: Sequence[float], rooms: Sequence[float]) -> None:
        """Remember what is to be cut.

        Args:
            sizes: of the tubes with their kerfs, mm.
            rooms: of the kinds of stick, mm.
        """
        self._sizes, self._rooms = sizes, rooms
        self._pieces = pieces_of(sizes, rooms)
        # Only what a bound needs is kept: the tables behind it are megabytes each.
        self._bounds: list[tuple[Numbers, float]] = []
        self._learn(by_length(self._pieces))
        self._columns = Columns(self._pieces.rooms, len(self._pieces.sizes))
        self._answers: dict[bytes, Answer] = {}
        self._too_small: list[list[float]] = []

    def ask(self, counts: Whole, until: float) -> Answer:
        """Whether so many sticks of each kind hold every tube.

        Args:
            counts: sticks of each kind.
            until: when to stop, on the monotonic clock; only bounds and quick packings are tried after it.
        """
        answer = self._answers.get(counts.tobytes())
        if answer is None:
            answer = self._answers[counts.tobytes()] = self._answer(counts, until)
        return answer

    def _answer(self, counts: Whole, until: float) -> Answer:
        if self._refuted(counts):
            return None, True
        kinds = [kind for kind, many in enumerate(counts) for _ in range(many)]
        packing = quick_packing(self._sizes, self._rooms, kinds)
        if packing is not None or monotonic() > until:
            return packing, packing is not None
        cuts, sure = self._worked_out(counts, until)
        if cuts is not None:
            return self._shared_out(cuts), True
        if sure:
            self._too_small.append(self._long_first(counts))
            return None, True
        return None, False

    def _learn(self, prices: Prices) -> None:
        self._bounds.append((prices.most, float(prices.each.sum())))

    def _refuted(self, counts: Whole) -> bool:
        """Whether a bound or an earlier answer shows that so many sticks of each kind are too few."""
        if any(float(most @ counts) < total - TINY for most, total in self._bounds):
            return True
        mine = self._long_first(counts)
        return any(_within(mine, other) for other in self._too_small)

    def _worked_out(self, counts: Whole, until: float) -> Found:
        bound = self._columns.bound(self._pieces, counts, until)
        self._learn(bound.prices)
        if bound.prices.spare(counts) < -TINY:
            return None, True
        rng = Random(0)
        tries: tuple[Callable[[], Found], ...] = (
            lambda: self._dive(counts, bound, None, until),
            lambda: self._through(self._pieces, counts, bound, _HARD, until),
            *[lambda: self._dive(counts, bound, rng, until)] * _DIVES,
            lambda: filled(self._pieces, counts, until),
            lambda: filled(self._pieces, counts, until, MANY),
        )
        for attempt in tries:
            cuts, sure = attempt()
            if cuts is not None or sure:
                return cuts, sure
            if monotonic() > until:
                break
        return None, False

    def _dive(self, counts: Whole, bound: Bound, rng: Random | None, until: float) -> Found:
        """Cut what the linear program likes best, and again from what is left, until the rest is easy."""
        cuts: Cuts = []
        pieces = self._pieces
        while True:
            if not pieces.needed.any():
                return cuts, True
            rest, sure = self._through(pieces, counts, bound, _EASY, until)
            if rest is not None:
                return cuts + rest, True
            if sure:
                return None, not cuts
            best = _favourite(pieces, counts, bound, rng)
            if best is None or monotonic() > until:
                return None, False
            cuts.append(best)
            pieces = replace(pieces, needed=pieces.needed - best[1])
            counts = counts.copy()
            counts[best[0]] -= 1
            bound = self._columns.bound(pieces, counts, until)
            if bound.prices.spare(counts) < -TINY:
                return None, False

    def _through(self, pieces: Pieces, counts: Whole, bound: Bound, limit: int, until: float) -> Found:
        """Go through every filling a plan could use, if these are not too many."""
        pool: list[Prices] = [bound.prices, by_length(pieces)]
        listed = tight(pieces, pool, counts, limit * 4)
        if listed is None or len(listed[0]) > limit:
            return None, False
        ways, kinds = listed
        chosen, sure = cover(ways, kinds, counts, pieces.needed, min(_LONG, max(0.05, until - monotonic())))
        if chosen is None:
            return None, sure
        return [(int(kinds[n]), ways[n]) for n in np.flatnonzero(chosen) for _ in range(chosen[n])], True

    def _shared_out(self, cuts: Cuts) -> list[Bin]:
        """The pieces of each stick; what more than one of them could hold stays in the first."""
        order = sorted(range(len(self._sizes)), key=lambda index: -self._sizes[index])
        starts = np.cumsum(self._pieces.needed) - self._pieces.needed
        waiting = [order[start : start + many] for start, many in zip(starts, self._pieces.needed, strict=True)]
        bins: list[Bin] = []
        for kind, way in cuts:
            held = [waiting[size].pop() for size, many in enumerate(way) for _ in range(many) if waiting[size]]
            if held:
                bins.append((kind, tuple(held)))
        return bins

    def _long_first(self, counts: Whole) -> list[float]:
        return sorted((self._rooms[kind] for kind, many in enumerate(counts) for _ in range(many)), reverse=True)


def _favourite(pieces: Pieces, counts: Whole, bound: Bound, rng: Random | None) -> tuple[int, Whole] | None:
    """The filling with the largest share that fits; with a random number, one in proportion to the shares."""
    ways = np.minimum(bound.ways[: len(bound.shares)], pieces.needed)
    kinds = bound.kinds[: len(bound.shares)]
    filled = ways @ pieces.sizes
    good = np.flatnonzero((bound.shares > 1e-6) & (filled <= pieces.rooms[kinds]) & (filled > 0) & (counts[kinds] > 0))
    if not len(good):
        return None
    scores = bound.shares[good] - 1e-3 * (1 - filled[good] / pieces.rooms[kinds[good]])
    if rng is not None:
        scores = scores * np.array([rng.random() for _ in good])
    index = good[int(np.argmax(scores))]
    return int(kinds[index]), ways[index]


def _within(mine: Sequence[float], other: Sequence[float]) -> bool:
    """Whether each of these sticks goes into one of the others."""
    return len(mine) <= len(other) and all(a <= b for a, b in zip(mine, other, strict=False))

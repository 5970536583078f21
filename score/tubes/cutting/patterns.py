"""Fillings that pay, found one after the other: bounds on choices of sticks, and what to cut first."""

from dataclasses import dataclass
from time import monotonic

import numpy as np

from score.tubes.cutting.packing_bounds import (
    NANOMETRE,
    TINY,
    Numbers,
    Pieces,
    Prices,
    Whole,
    best_fillings,
    fillings,
    priced,
)
from score.tubes.cutting.packing_programs import Shares, least_pipe

_MOST_ROUNDS = 100

_AT_ONCE = 6
"""Fillings added for each kind of stick in one round."""


@dataclass(frozen=True, slots=True, eq=False)
class Bound:
    """What the linear program says about a choice of sticks.

    Attributes:
        prices: worths of the pieces.
        ways: fillings, a row for each with a column for each size.
        kinds: of the stick each filling is for.
        shares: how often each is cut.
    """

    prices: Prices
    ways: Whole
    kinds: Whole
    shares: Numbers


class Columns:
    """All fillings found so far, for one set of sizes."""

    def __init__(self, rooms: Whole, width: int) -> None:
        """Begin with none.

        Args:
            rooms: of the kinds of stick, nanometres.
            width: how many different sizes there are.
        """
        self._rooms = rooms * NANOMETRE
        self._seen: set[tuple[int, bytes]] = set()
        self._ways = np.zeros((0, width), dtype=np.int64)
        self._kinds = np.zeros(0, dtype=np.int64)

    def bound(self, pieces: Pieces, counts: Whole, until: float) -> Bound:
        """Add fillings until none pays any more, the choice is proven too small, or time is up.

        Args:
            pieces: what is to be cut; a size may be needed no more.
            counts: sticks of each kind.
            until: on the monotonic clock.
        """
        lengths = pieces.sizes * NANOMETRE
        for _ in range(_MOST_ROUNDS):
            solved = least_pipe(self._ways, self._kinds, self._rooms, counts, pieces.needed, lengths)
            prices = priced(pieces, solved.worth)
            bound = Bound(prices, self._ways, self._kinds, shares=solved.shares)
            if prices.spare(counts) < -TINY or not self._more(pieces, prices, solved, counts) or monotonic() > until:
                break
        return bound

    def _more(self, pieces: Pieces, prices: Prices, solved: Shares, counts: Whole) -> bool:
        """Add for each kind fillings that are worth more than the stick."""
        new = [
            (int(kind), way)
            for kind in np.flatnonzero(counts)
            for way in best_fillings(pieces, prices, int(kind), self._rooms[kind] + solved.saved[kind] + TINY, _AT_ONCE)
        ]
        new = [(kind, way) for kind, way in new if (kind, way.tobytes()) not in self._seen]
        self._seen.update((kind, way.tobytes()) for kind, way in new)
        if new:
            self._ways = np.concatenate((self._ways, [way for _, way in new]))
            self._kinds = np.concatenate((self._kinds, [kind for kind, _ in new]))
        return bool(new)


def tight(pieces: Pieces, pool: list[Prices], counts: Whole, limit: int) -> tuple[Whole, Whole] | None:
    """Every filling that a plan with these sticks could use, and its kind of stick; None beyond a limit.

    Args:
        pieces: what is to be cut.
        pool: worths, each of which rules some fillings out.
        counts: sticks of each kind.
        limit: how many fillings at most.
    """
    for prices in pool:
        ways = [np.zeros((0, len(pieces.sizes)), dtype=np.int64)]
        for kind in np.flatnonzero(counts):
            rows = fillings(pieces, prices, int(kind), prices.spare(counts), limit)
            if rows is None:
                break
            ways.append(rows)
        else:
            kinds = np.repeat(np.flatnonzero(counts), [len(rows) for rows in ways[1:]])
            return _ruled_out(pieces, pool, counts, np.concatenate(ways), kinds)
    return None


def _ruled_out(pieces: Pieces, pool: list[Prices], counts: Whole, ways: Whole, kinds: Whole) -> tuple[Whole, Whole]:
    """Only the fillings that none of the worths rules out."""
    firsts = np.cumsum(pieces.needed) - pieces.needed
    for prices in pool:
        worth = np.where(pieces.needed > 0, np.append(prices.each, 0.0)[np.minimum(firsts, len(prices.each))], 0.0)
        keep = ways @ worth >= prices.most[kinds] - prices.spare(counts) - TINY
        ways, kinds = ways[keep], kinds[keep]
    return ways, kinds

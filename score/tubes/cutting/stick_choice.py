"""Which sticks to take at all: for so many new ones, every choice from the least pipe on."""

from collections.abc import Iterator, Sequence
from math import prod

import numpy as np

from score.tubes.cutting.packing_bounds import Numbers, Whole

_MOST = 2_000_000
_FEW = 12
_TINY = 1e-6


class Choices:
    """The choices among kinds of stick."""

    def __init__(
        self,
        rooms: Sequence[float],
        counts: Sequence[int | None],
        leftover: Sequence[bool],
        most: int,
        smallest: float,
    ) -> None:
        """Count what there is.

        Args:
            rooms: of the kinds of stick, mm.
            counts: how many of each kind there are, None for any number.
            leftover: whether a kind is in hand.
            most: sticks of any kind that could be of use, at most.
            smallest: the smallest size; shorter leftovers are of no use.
        """
        self._rooms = np.asarray(rooms, dtype=float)
        useful = [many is None or many > most for many in counts]
        self._limits = [most if more else many or 0 for more, many in zip(useful, counts, strict=True)]
        self._mine = [k for k in range(len(rooms)) if leftover[k] and rooms[k] >= smallest - _TINY]
        self._new = sorted((k for k in range(len(rooms)) if not leftover[k]), key=lambda k: rooms[k])
        self.most = min(most, sum(self._limits[k] for k in self._new))
        self.whole = True
        """False once leftovers were too many to go through every choice of them."""

    def best(self, bought: int) -> Whole:
        """All leftovers and so many of the longest new sticks: where this does not hold every size, nothing does."""
        counts = np.zeros(len(self._rooms), dtype=np.int64)
        counts[self._mine] = [self._limits[k] for k in self._mine]
        for kind in reversed(self._new):
            counts[kind] = min(bought, self._limits[kind])
            bought -= int(counts[kind])
        return counts

    def rising(self, bought: int, total: float) -> Iterator[Whole]:
        """The choices with so many new sticks and room for a total, least pipe first; how many sticks of each kind."""
        extras = list(self._extras(bought, self._new))
        limits = self._hands(len(extras))
        lengths: Numbers = np.array(
            [[sum(n * self._rooms[k] for n, k in zip(extra, self._new, strict=True))] for extra in extras]
        ).reshape(len(extras), 1)
        for kind, limit in zip(self._mine, limits, strict=True):
            more = self._rooms[kind] * np.arange(limit + 1)
            lengths = (lengths[:, :, None] + more).reshape(len(extras), -1)
        shape = (len(extras), *(limit + 1 for limit in limits))
        flat = lengths.ravel()
        enough = np.flatnonzero(flat >= total - _TINY)
        for index in enough[np.argsort(flat[enough], kind="stable")]:
            which, *hand = np.unravel_index(index, shape)
            counts = np.zeros(len(self._rooms), dtype=np.int64)
            counts[self._new] = extras[which]
            counts[self._mine] = hand
            yield counts

    def _hands(self, extras: int) -> list[int]:
        """How many of each leftover to consider: all, or where that makes too many choices, the longest few."""
        limits = [self._limits[k] for k in self._mine]
        if prod(limit + 1 for limit in limits) * extras <= _MOST:
            return limits
        self.whole = False
        long = set(sorted(range(len(limits)), key=lambda n: -self._rooms[self._mine[n]])[:_FEW])
        return [min(1, limit) if n in long else 0 for n, limit in enumerate(limits)]

    def _extras(self, bought: int, new: Sequence[int]) -> Iterator[tuple[int, ...]]:
        """Every way to buy so many sticks."""
        if not new:
            if not bought:
                yield ()
            return
        for taken in range(min(bought, self._limits[new[0]]) + 1):
            for rest in self._extras(bought - taken, new[1:]):
                yield taken, *rest

"""Which sticks to take at all, from the best choice on."""

import heapq
from collections.abc import Iterator, Sequence
from itertools import product
from math import ceil

_MOST_LEFTOVERS = 20000
_TINY = 1e-6


def choices(
    total: float,
    rooms: Sequence[float],
    holds: Sequence[float],
    counts: Sequence[int | None],
    leftover: Sequence[bool],
    most: int,
) -> Iterator[tuple[tuple[int, ...], bool]]:
    """Sets of sticks that have room for a total, fewest new ones first, then least pipe.

    Args:
        total: of all sizes with their kerfs, mm.
        rooms: of the kinds of stick, mm.
        holds: the most of each that can be filled, mm.
        counts: how many of each kind there are, None for any number.
        leftover: whether a kind is in hand.
        most: sticks of any kind that could be of use, at most.

    Yields:
        The sticks by their kinds, and whether the order so far leaves nothing out.
    """
    mine = [k for k in range(len(rooms)) if leftover[k]]
    new = [k for k in range(len(rooms)) if not leftover[k]]
    limits = [min(most, most if counts[k] is None else counts[k] or 0) for k in mine]
    whole = True
    size = 1
    for limit in limits:
        size *= limit + 1
    if size > _MOST_LEFTOVERS:
        limits, whole = [min(1, limit) for limit in limits][:14], False
    hands = [
        (sum(n * rooms[k] for k, n in zip(mine, taken, strict=False)), taken)
        for taken in product(*(range(limit + 1) for limit in limits))
    ]
    held = sum(limit * holds[k] for k, limit in zip(mine, limits, strict=False))
    longest = max((holds[k] for k in new), default=0.0)
    first = max(0, ceil((total - held) / longest - _TINY)) if longest else 0
    for bought in range(first, most + 1 if new else 1):
        sets = []
        for extra in _of(bought, new, counts):
            length = sum(rooms[k] for k in extra)
            for hand, taken in hands:
                chosen = tuple(k for k, n in zip(mine, taken, strict=False) for _ in range(n)) + extra
                if sum(holds[k] for k in chosen) >= total - _TINY:
                    sets.append((length + hand, chosen))
        heapq.heapify(sets)
        while sets:
            yield heapq.heappop(sets)[1], whole


def _of(bought: int, new: Sequence[int], counts: Sequence[int | None]) -> Iterator[tuple[int, ...]]:
    """Every way to buy so many sticks."""
    if not new:
        if not bought:
            yield ()
        return
    kind, others = new[0], new[1:]
    limit = counts[kind]
    for taken in range(min(bought, bought if limit is None else limit) + 1):
        for rest in _of(bought - taken, others, counts):
            yield (kind,) * taken + rest

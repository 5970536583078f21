"""The order of pieces that takes the least time to change between them: exact up to twelve pieces.

Dynamic programming over sets of pieces (Held and Karp 1962). Beyond twelve the order that is there is improved by
moving one piece after the other as long as that helps, which proves nothing.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

MOST_EXACT = 12


class PieceOrder(NamedTuple):
    """An order.

    Attributes:
        order: positions of the pieces.
        seconds: of all changes.
        exact: no order takes less.
    """

    order: tuple[int, ...]
    seconds: float
    exact: bool


def order_seconds(order: Sequence[int], changes: Sequence[Sequence[float]]) -> float:
    """Seconds of all changes of an order.

    Args:
        order: positions of pieces.
        changes: seconds from each piece to each.
    """
    return sum(changes[a][b] for a, b in pairwise(order))


def best_piece_order(
    changes: Sequence[Sequence[float]], first: int | None = None, last: int | None = None
) -> PieceOrder:
    """The order with the least time; of equal ones the one nearest to the order that is there.

    Args:
        changes: seconds from each piece to each.
        first: the piece that stays first.
        last: the piece that stays last.
    """
    count = len(changes)
    order = _exact(changes, first, last) if count <= MOST_EXACT else _improved(changes, first, last)
    now = tuple(range(count))
    if _keeps(now, first, last) and order_seconds(now, changes) <= order_seconds(order, changes) + 1e-9:
        order = now
    return PieceOrder(order, order_seconds(order, changes), count <= MOST_EXACT)


def _keeps(order: Sequence[int], first: int | None, last: int | None) -> bool:
    return not order or (first in (None, order[0]) and last in (None, order[-1]))


def _exact(changes: Sequence[Sequence[float]], first: int | None, last: int | None) -> tuple[int, ...]:
    count = len(changes)
    if count < 2:
        return tuple(range(count))
    # For each set of pieces and the one that ends it: the least seconds, and the piece before.
    least: dict[tuple[int, int], tuple[float, int]] = {
        (1 << piece, piece): (0.0, -1) for piece in range(count) if first in (None, piece) and (piece != last)
    }
    everything = (1 << count) - 1
    for pieces in range(1, everything):
        for end in range(count):
            here = least.get((pieces, end))
            if here is None:
                continue
            for piece in range(count):
                if pieces >> piece & 1 or (piece == last and pieces | 1 << piece != everything):
                    continue
                key, seconds = (pieces | 1 << piece, piece), here[0] + changes[end][piece]
                if key not in least or seconds < least[key][0]:
                    least[key] = seconds, end
    ends = [piece for piece in range(count) if (everything, piece) in least and last in (None, piece)]
    end = min(ends, key=lambda piece: least[everything, piece][0])
    return _walked_back(least, everything, end)


def _walked_back(least: dict[tuple[int, int], tuple[float, int]], pieces: int, end: int) -> tuple[int, ...]:
    order = []
    while end >= 0:
        order.append(end)
        before = least[pieces, end][1]
        pieces, end = pieces & ~(1 << end), before
    return tuple(reversed(order))


def _improved(changes: Sequence[Sequence[float]], first: int | None, last: int | None) -> tuple[int, ...]:
    middle = [piece for piece in range(len(changes)) if piece not in (first, last)]
    order = [*([first] if first is not None else []), *middle, *([last] if last is not None else [])]
    improved = True
    while improved:
        improved = False
        for piece in middle:
            rest = [other for other in order if other != piece]
            ways = ([*rest[:place], piece, *rest[place:]] for place in range(len(rest) + 1))
            best = min((w for w in ways if _keeps(w, first, last)), key=lambda way: order_seconds(way, changes))
            if order_seconds(best, changes) < order_seconds(order, changes) - 1e-9:
                order, improved = best, True
    return tuple(order)

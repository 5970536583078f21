"""The fewest instruments for a programme, by going through what sets of pieces need together, the smallest first.

What a programme needs is the union of what its pieces need. Unions are made by adding one piece after the other and
looked at in order of their size; the first one whose pieces fill the time for everybody is the smallest there is, and
until then its size is a bound. Pieces can only be added, so that unions only grow and none is missed. Before that a few
rich ones are followed, step by step, for a programme that is small already.
"""

import heapq
from collections.abc import Callable, Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np


_STEPS, _LOOKED_AT, _FOLLOWED = 5, 3000, 60
Fills = Callable[[Sequence[int]], bool]


class SmallestUnion(NamedTuple):
    """What came out.

    Attributes:
        pieces: positions of the pieces that need no more than the smallest union; None where time was over before.
        bound: no programme needs fewer.
    """

    pieces: tuple[int, ...] | None
    bound: int


class Needed(NamedTuple):
    """What the pieces need and how long they are.

    Attributes:
        needs: a row a piece, a column a kind.
        seconds: of each piece.
        plays: seconds each person (columns) can play in each piece (rows).
    """

    needs: "np.ndarray[Any, Any]"
    seconds: "np.ndarray[Any, Any]"
    plays: "np.ndarray[Any, Any]"


def rich_union(shelf: Needed, least: float, share: float, fills: Fills, seconds: float) -> int:
    """Size of a small union whose pieces make a programme, which `fills` has said yes to last; 0 where none came.

    Args:
        shelf: what there is.
        least: seconds of music at least.
        share: of the music that everybody plays in at least.
        fills: whether these pieces make a programme; asked only where it may be.
        seconds: to look for it.
    """
    import numpy as np

    until, best = monotonic() + seconds, 0
    rows = np.unique(shelf.needs, axis=0)
    unions = rows
    for _ in range(_STEPS):
        unions = unions[np.argsort(unions.sum(axis=1), kind="stable")[:_LOOKED_AT]]
        worths = np.array([_worth(shelf, union, least, share) for union in unions])
        for union in unions[worths >= least]:
            if best and union.sum() >= best:
                break
            if monotonic() > until:
                return best
            if fills(_pieces(shelf, union)):
                best = int(union.sum())
        # The richest for their size are followed.
        kept = unions[np.argsort(-worths / unions.sum(axis=1), kind="stable")[:_FOLLOWED]]
        grown = np.unique(np.maximum(kept[:, None, :], rows[None, :, :]).reshape(-1, rows.shape[1]), axis=0)
        unions = grown[grown.sum(axis=1) < best] if best else grown
        if not len(unions) or monotonic() > until:
            break
    return best


def fewest_needed(
    shelf: Needed, least: float, share: float, fills: Fills, seconds: float, most: int = 0
) -> SmallestUnion:
    """The smallest union whose pieces make a programme.

    Args:
        shelf: what there is.
        least: seconds of music at least.
        share: of the music that everybody plays in at least.
        fills: whether these pieces make a programme; asked only where it may be.
        seconds: to look for it.
        most: only smaller unions count; 0 for any.
    """
    import numpy as np

    until = monotonic() + seconds
    rows = np.unique(shelf.needs, axis=0)
    heap = [(int(row.sum()), row.tobytes()) for row in rows]
    heapq.heapify(heap)
    seen = {key for _, key in heap}
    bound = 0
    while heap:
        size, key = heapq.heappop(heap)
        bound = max(bound, size)
        if monotonic() > until or size >= most > 0:
            return SmallestUnion(None, min(bound, most or bound))
        union = np.frombuffer(key, dtype=shelf.needs.dtype)
        if _worth(shelf, union, least, share) >= least and fills(pieces := _pieces(shelf, union)):
            return SmallestUnion(tuple(pieces), bound)
        grown = np.maximum(rows, union)
        sizes = grown.sum(axis=1)
        for row, number in zip(grown, sizes, strict=True):
            if (not most or number < most) and (name := row.tobytes()) not in seen:
                seen.add(name)
                heapq.heappush(heap, (int(number), name))
    return SmallestUnion(() if not most else None, most or bound)


def _pieces(shelf: Needed, union: "np.ndarray[Any, Any]") -> list[int]:
    """Positions of the pieces that need no more than a union."""
    import numpy as np

    return [int(at) for at in np.flatnonzero((shelf.needs <= union).all(axis=1))]


def _worth(shelf: Needed, union: "np.ndarray[Any, Any]", least: float, share: float) -> float:
    """Seconds of a programme that its pieces could make at the most, up to what is asked: for all, and for each."""
    fits = (shelf.needs <= union).all(axis=1)
    music = float(shelf.seconds[fits].sum())
    own = float(shelf.plays[fits].sum(axis=0).min()) / share if share else music
    return min(music, own, least)

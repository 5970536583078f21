"""The fewest instruments for a programme, by going through what sets of pieces need together, the smallest first.

What a programme needs is the union of what its pieces need. Unions are made by adding one piece after the other and
looked at in order of their size; the first one whose pieces fill the time for everybody is the smallest there is, and
until then its size is a bound. Pieces can only be added, so that unions only grow and none is missed.
"""

import heapq
from collections.abc import Callable, Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np


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


def fewest_needed(
    shelf: Needed, least: float, share: float, fills: Callable[[Sequence[int]], bool], seconds: float
) -> SmallestUnion:
    """The smallest union whose pieces make a programme.

    Args:
        shelf: what there is.
        least: seconds of music at least.
        share: of the music that everybody plays in at least.
        fills: whether these pieces make a programme; asked only where it may be.
        seconds: to look for it.
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
        if monotonic() > until:
            return SmallestUnion(None, bound)
        union = np.frombuffer(key, dtype=shelf.needs.dtype)
        fits = (shelf.needs <= union).all(axis=1)
        pieces = np.flatnonzero(fits)
        if _may_fill(shelf, pieces, least, share) and fills(pieces.tolist()):
            return SmallestUnion(tuple(pieces.tolist()), bound)
        for row in np.maximum(rows, union):
            grown = row.tobytes()
            if grown not in seen:
                seen.add(grown)
                heapq.heappush(heap, (int(row.sum()), grown))
    return SmallestUnion((), bound)


def _may_fill(shelf: Needed, pieces: "np.ndarray[Any, Any]", least: float, share: float) -> bool:
    """Enough music, and enough for each: what every programme of these pieces must have."""
    enough = float(shelf.seconds[pieces].sum()) >= least
    return enough and bool((shelf.plays[pieces].sum(axis=0) >= share * least).all())

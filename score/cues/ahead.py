"""What the pages still to come will cost at least: the promise by which the search for the best pages is led."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    _Floats: TypeAlias = NDArray[np.float64]

FEW = 80
"""So few bars are divided sooner without a promise than numpy is loaded."""
_FILLED = (0.3, 0.5, 0.7)
"""Shares of a page at which the cost of what stays blank is replaced by its tangent, a bound as it is convex."""
_STEP = 1e-4


class System(NamedTuple):
    """A system by its first bar, its cost and its height, mm."""

    first: int
    cost: float
    height: float


def costs_ahead(
    systems: Sequence[Sequence[System]],
    ends: Sequence[float],
    room: float,
    gap: float,
    blank_cost: Callable[[float, float], float],
) -> list[float]:
    """For each bar a page can begin with, a cost the rest of the piece cannot undercut; 0 after the last bar.

    A promise of 0 is never too high either, and all that a piece of few bars gets.

    Found by the same search with less asked of it: of all divisions of a page's bars the cheapest counts, as if
    it were also the lowest.

    Args:
        systems: for each bar, and for the end, the systems that can end before it.
        ends: cost of a page that ends before each bar, without its systems and its blank.
        room: height of a page, mm.
        gap: least distance between systems, mm.
        blank_cost: what so much blank (mm) costs on a page of such a height (mm); convex.
    """
    if len(systems) <= FEW:
        return [0.0] * len(systems)
    import numpy as np

    pages = _pages(systems, room, gap, blank_cost)
    ahead = np.full(len(systems), np.inf)
    ahead[-1] = 0.0
    for end in range(len(systems) - 1, 0, -1):
        start, costs = pages[end]
        # What stays blank on the last page costs nothing.
        page = costs[0] if end == len(systems) - 1 else costs.max(axis=0)
        here = ahead[start : start + len(page)]
        np.minimum(here, page + ends[end] + ahead[end], out=here)
    return [float(cost) for cost in ahead]


def _pages(
    systems: Sequence[Sequence[System]], room: float, gap: float, blank_cost: Callable[[float, float], float]
) -> "list[tuple[int, _Floats]]":
    """For each end of a page: the first bar it can begin with, and from that bar on what its systems cost at least.

    Rows: the systems alone, then one for each tangent of what the blank costs.
    """
    import numpy as np

    slopes = [_slope(blank_cost, (1 - share) * room, room) for share in _FILLED]
    fixed = [
        blank_cost((1 - f) * room, room) + slope * (gap + f * room) for f, slope in zip(_FILLED, slopes, strict=True)
    ]
    least = [(0, np.zeros((2 + len(slopes), 1)))]
    for here in systems[1:]:
        least.append(_one_end(least, here, slopes, gap, room))
    add = np.array([0.0, *fixed])[:, None]
    return [(start, table[1:, :-1] + add) for start, table in least]


def _one_end(
    least: "Sequence[tuple[int, _Floats]]", here: Sequence[System], slopes: Sequence[float], gap: float, room: float
) -> "tuple[int, _Floats]":
    """The least height, cost and costs with blank of the bars from each one that can begin the page to this end.

    The last column stands for no bars at all.
    """
    import numpy as np

    end, start = len(least), least[-1][0]
    table = np.full((2 + len(slopes), end - start + 1), np.inf)
    for first, cost, height in here:
        tall = height + gap
        weights = np.array([tall, cost, *(cost - slope * tall for slope in slopes)])[:, None]
        begins, before = least[first]
        part = table[:, : first - start + 1]
        np.minimum(part, before[:, start - begins :] + weights, out=part)
    table[:, -1] = 0.0
    # More bars are never lower: what is too tall for a page now can be forgotten, but for a single system.
    fits = (table[0] - gap <= room) | (np.arange(start, end + 1) >= min(system.first for system in here))
    first_fit = int(np.argmax(fits))
    return start + first_fit, table[:, first_fit:]


def _slope(blank_cost: Callable[[float, float], float], blank: float, room: float) -> float:
    return (blank_cost(blank + _STEP, room) - blank_cost(blank - _STEP, room)) / (2 * _STEP)

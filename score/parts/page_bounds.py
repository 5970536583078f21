"""What the pages still to come will cost at least: the promise by which the search for the best pages is led."""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple


class PossibleSystem(NamedTuple):
    """A system by its first bar, its cost and its height, mm."""

    first: int
    cost: float
    height: float


class PageEnd(NamedTuple):
    """A way for a page to end: the place of the next page among those open together, its cost, a blank one between."""

    place: int
    cost: float
    skipped: bool = False


class _Pages(NamedTuple):
    """Pages that end before one bar: the first bar they can begin with; from there on least height (mm) and cost.

    The last of each is the page of no bars at all.
    """

    start: int
    heights: list[float]
    costs: list[float]


def costs_ahead(
    systems: Sequence[Sequence[PossibleSystem]],
    ends: Sequence[Sequence[Sequence[PageEnd]]],
    room: float,
    gap: float,
) -> list[list[float]]:
    """For each place and bar a page can begin with, a cost the rest of the piece cannot undercut; 0 after the last bar.

    Found by the same search with less asked of it: of all divisions of a page's bars the cheapest counts, as if
    it were also the lowest and left nothing blank.

    Args:
        systems: for each bar, and for the end, the systems that can end before it.
        ends: for each place among the pages that lie open together and each bar, how a page can end before that bar,
            without the cost of its systems and its blank.
        room: height of a page, mm.
        gap: least distance between systems, mm.
    """
    pages = [_Pages(0, [0.0], [0.0])]
    for ending in systems[1:]:
        pages.append(_ending_here(pages, ending, room, gap))
    ahead = [[inf] * (len(systems) - 1) + [0.0] for _ in ends]
    for end in range(len(systems) - 1, 0, -1):
        start, costs = pages[end].start, pages[end].costs[:-1]
        for place, row in enumerate(ahead):
            beyond = min(way.cost + ahead[way.place][end] for way in ends[place][end])
            row[start : start + len(costs)] = _lesser(row[start:], costs, beyond)
    return ahead


def _ending_here(pages: Sequence[_Pages], ending: Sequence[PossibleSystem], room: float, gap: float) -> _Pages:
    """The pages that end with these systems."""
    start = pages[-1].start
    heights, costs = ([inf] * (len(pages) - start) for _ in range(2))
    for first, cost, height in ending:
        before, count = pages[first], first - start + 1
        at = start - before.start
        heights[:count] = _lesser(heights, before.heights[at:], height + gap)
        costs[:count] = _lesser(costs, before.costs[at:], cost)
    # More bars are never lower: what is too tall for a page now can be forgotten, but for a single system. Where no
    # system can end here, the pages that are longer by a bar may still be.
    single = min((system.first for system in ending), default=start) - start
    skip = next(i for i, height in enumerate(heights) if height - gap <= room or height == inf or i >= single)
    return _Pages(start + skip, [*heights[skip:], 0.0], [*costs[skip:], 0.0])


def _lesser(now: list[float], before: list[float], more: float) -> list[float]:
    """Element by element what is now, or what was before with more added, where that is less."""
    # The inner loop of the whole search: min() would take twice as long.
    return [a if a < b + more else b + more for a, b in zip(now, before, strict=False)]

"""What pages cost at least: the promise by which the search for the best pages is led.

From every bar the cheapest systems to the end of the piece are looked for once. The systems of a page from one bar
up to another cost at least the difference of the two: else the first of them were not the cheapest.
"""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate
from math import inf
from typing import NamedTuple

from score.parts.page_costs import LAST_FILL, LAST_PAGE, least_blank_cost

_PRICES = (0.0, 3.0, 20.0, -10.0)
"""Of the height of systems, for a page full of them. A price above 0 is taken off the cost of systems, which favours
high ones, and put on again for the least height that pays with its blank; one below 0 favours low ones, and the room is
the most that they take. Whatever the price, no page is cheaper than promised, so the highest promise counts: that
without a price is near for full pages, the next for less full ones, then for half empty ones, the last for crowded
ones."""


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


class Promise(NamedTuple):
    """What pages and their systems cost at least.

    Attributes:
        ahead: for each place and bar a page can begin with, the cost of the rest of the piece; 0 after the last bar.
        beyond: for each place and bar a page can end before, the cost of ending it and of the pages after it.
        rests: for each price, the cost of the systems from each bar to the end, the price for their height taken off.
        heights: the height of the systems from each bar to the end, with a gap below each, mm.
        gap: least distance between systems, mm.
        tallest: of all systems, mm.
    """

    ahead: list[list[float]]
    beyond: list[list[float]]
    rests: dict[float, list[float]]
    heights: list[float]
    gap: float
    tallest: float


def promise(
    systems: Sequence[Sequence[PossibleSystem]],
    ends: Sequence[Sequence[Sequence[PageEnd]]],
    room: float,
    gap: float,
) -> Promise:
    """What every page costs at least, and the pages after it.

    Args:
        systems: for each bar, and for the end, the systems that can end before it.
        ends: for each place among the pages that lie open together and each bar, how a page can end before that bar,
            without the cost of its systems and its blank.
        room: height of a page, mm.
        gap: least distance between systems, mm.
    """
    last = len(systems) - 1
    rests = {price / room: _rest(systems, 1.0, -price / room, gap) for price in _PRICES}
    tallest = max(system.height for ending in systems for system in ending)
    promised = Promise(
        [[inf] * last + [0.0] for _ in ends],
        [[inf] * (last + 1) for _ in ends],
        rests=rests,
        heights=_rest(systems, 0.0, 1.0, gap),
        gap=gap,
        tallest=tallest,
    )
    for end, start in reversed(list(enumerate(_earliest_starts(systems, promised.heights, room + gap)))[1:]):
        pages = _pages_to(promised, start, end, room)
        for row, beyond, ways in zip(promised.ahead, promised.beyond, ends, strict=True):
            beyond[end] = more = min(way.cost + promised.ahead[way.place][end] for way in ways[end])
            # min() would take twice as long.
            row[start:end] = [a if a < b + more else b + more for a, b in zip(row[start:end], pages, strict=True)]
    return promised


def pages_from(promised: Promise, start: int, ends: Sequence[int], room: float, *, is_first: bool) -> list[float]:
    """What pages with so much room, mm, cost at least that begin with a bar, by the bars before which they end."""
    last = len(promised.heights) - 1
    rows = []
    for price, rest in promised.rests.items():
        more = rest[start] + _paid(promised, price, room)
        rows.append([more - rest[end] for end in ends])
        if ends[-1] == last:
            rows[-1][-1] = rest[start] + _paid_last(promised, price, room, is_first=is_first)
    return list(map(max, *rows))


def nearest_price(promised: Promise, start: int, end: int, room: float, *, is_first: bool) -> tuple[float, float]:
    """The price that promises most for a page from a bar up to another, and what the page pays by it at least."""
    last = len(promised.heights) - 1
    paid = {
        price: _paid(promised, price, room) if end < last else _paid_last(promised, price, room, is_first=is_first)
        for price in promised.rests
    }
    price = max(paid, key=lambda each: promised.rests[each][start] - promised.rests[each][end] + paid[each])
    return price, paid[price]


def _pages_to(promised: Promise, start: int, end: int, room: float) -> list[float]:
    """What pages that end before a bar cost at least, by the bars from which on they begin; none is the first page."""
    last = len(promised.heights) - 1
    rows = []
    for price, rest in promised.rests.items():
        paid = _paid(promised, price, room) if end < last else _paid_last(promised, price, room, is_first=False)
        more = paid - rest[end]
        rows.append([cost + more for cost in rest[start:end]])
    return list(map(max, *rows))


def _paid(promised: Promise, price: float, room: float) -> float:
    """What a page pays at least for the height of its systems and for what it leaves blank."""
    if price < 0:
        return price * (max(room, promised.tallest) + promised.gap)
    return price * promised.gap + least_blank_cost(price, room)


def _paid_last(promised: Promise, price: float, room: float, *, is_first: bool) -> float:
    """The same for the last page, which pays for being all but empty, unless it is the only one."""
    if price < 0:
        return _paid(promised, price, room)
    return price * promised.gap + (0.0 if is_first else min(LAST_PAGE, price * room * LAST_FILL))


def _rest(systems: Sequence[Sequence[PossibleSystem]], cost_share: float, price: float, gap: float) -> list[float]:
    """The least that the systems from each bar to the end come to, in cost and in height with the gap below them."""
    rest = [inf] * (len(systems) - 1) + [0.0]
    for end in range(len(systems) - 1, 0, -1):
        after = rest[end]
        for first, cost, height in systems[end]:
            total = after + cost_share * cost + price * (height + gap)
            if total < rest[first]:
                rest[first] = total
    return rest


def _earliest_starts(systems: Sequence[Sequence[PossibleSystem]], heights: Sequence[float], room: float) -> list[int]:
    """For each bar, where a page that ends before it can begin at the earliest, or a little before."""
    rising = [-height for height in accumulate(heights, min)]
    return [
        min([bisect_left(rising, -(heights[end] + room)), *(system.first for system in ending[-1:]), end])
        for end, ending in enumerate(systems)
    ]

"""The pages that can begin with a bar: before which bars they can end, and the cheapest division into systems."""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple, TypeAlias

from score.parts.page_bounds import PossibleSystem, Promise, nearest_price
from score.parts.page_costs import BLANK, BLANK_FREE, HALF_EMPTY, last_page_cost

_LONGEST_SYSTEM = 24
"""Bars; where so many in a row end no system that fits, the page is full."""
ROUNDING = 1e-7
"""How far sums of costs or heights may differ that were added up in another order."""


Starts: TypeAlias = "tuple[()] | tuple[Starts, int]"
"""Where each system of a division begins: the last one's first bar, after those before it."""


_Division: TypeAlias = tuple[float, float, float, Starts]
"""A division of some bars into systems: its cost with what is left blank now, its cost alone, its height in mm, where
each system begins. A plain tuple: the search makes them by the thousand."""


class Space(NamedTuple):
    """A page by its first bar and its height, mm; the first page has costs of its own where it is also the last."""

    start: int
    room: float
    is_first: bool


class CheapestPage(NamedTuple):
    """The cheapest page of some bars, with what is left blank: its cost, where each of its systems begins."""

    cost: float
    starts: Starts


def page_ends(systems: Sequence[Sequence[PossibleSystem]], gap: float, space: Space) -> list[int]:
    """The bars before which a page can end; a system taller than the page stands there alone."""
    start, room = space.start, space.room
    lowest = {start: -gap}
    reached = start
    for end in range(start + 1, len(systems)):
        heights = [
            lowest[first] + gap + tall
            for first, _, tall in systems[end]
            if first in lowest and (first == start or lowest[first] + gap + tall <= room)
        ]
        if heights:
            lowest[end], reached = min(heights), end
        elif end - reached > _LONGEST_SYSTEM:
            break
    return list(lowest)[1:]


def cheapest_page(
    systems: Sequence[Sequence[PossibleSystem]], promised: Promise, space: Space, end: int, limit: float
) -> CheapestPage | None:
    """The cheapest page that ends before a bar; None where none costs no more than the limit.

    Only divisions are gone on with that what is promised for the rest of the page leaves room and cost for.
    """
    start, room, is_first = space
    price, paid = nearest_price(promised, start, end, room, is_first=is_first)
    rest, heights = promised.rests[price], promised.heights
    most = limit + rest[end] - paid + price * promised.gap + ROUNDING
    tallest = room + heights[end] + ROUNDING
    lines: list[list[_Division]] = [[(0.0, 0.0, -promised.gap, ())]]
    for bar in range(start + 1, end + 1):
        limits = price, most - rest[bar], min(room, tallest - heights[bar])
        lines.append(_divisions(lines, systems[bar], promised.gap, space, limits))
    if not lines[-1]:
        return None
    cost, _, _, starts = lines[-1][0]
    if end == len(systems) - 1:
        costs = [alone + last_page_cost(used, room, first=is_first) for _, alone, used, _ in lines[-1]]
        cost, starts = min(costs), lines[-1][costs.index(min(costs))][3]
    return CheapestPage(cost, starts) if cost <= limit else None


def _divisions(
    lines: Sequence[Sequence[_Division]],
    ending: Sequence[PossibleSystem],
    gap: float,
    space: Space,
    limits: tuple[float, float, float],
) -> list[_Division]:
    """The divisions that end with one of these systems and can still become the best.

    A lower one leaves more of the page blank, but what that costs only shrinks as the page fills: one that is
    lower and cheaper even with the blank it leaves now will stay so.

    Args:
        lines: the divisions to each bar before, from the first of the page on.
        ending: the systems.
        gap: least distance between systems, mm.
        space: the page.
        limits: price of a mm of height, cost without it and height, mm, that they may have; a system alone may be
            taller.
    """
    start, room, _ = space
    price, most, tallest = limits
    full, half = room * (1 - BLANK_FREE), room / 2
    square, more = BLANK / room**2, HALF_EMPTY / room
    divisions: list[_Division] = []
    for first, cost, tall in ending:
        if first < start:
            break
        for _, cost_before, height_before, starts in lines[first - start]:
            used, total = height_before + gap + tall, cost_before + cost
            if total - price * used <= most and (used <= tallest or first == start):
                # Here the search spends its time: `blank_cost` written out takes a third less.
                blank = square * (full - used) ** 2 if used < full else 0.0
                if used < half:
                    blank += more * (half - used)
                divisions.append((total + blank, total, used, (starts, first)))
    return _undominated(divisions) if len(divisions) > 1 else divisions


def _undominated(divisions: list[_Division]) -> list[_Division]:
    """The divisions that are lower than all that are cheaper."""
    lowest, lines = inf, []
    divisions.sort()
    for line in divisions:
        if line[2] < lowest:
            lowest = line[2]
            lines.append(line)
    return lines

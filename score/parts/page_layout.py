"""Which bars share a system and which systems share a page, so that turns fall where hands are free.

Found exactly by dynamic programming over bars: inside a page the division into systems that is nearest to
the bars' natural widths, over pages the one with good turns and full pages. Pages are begun in the order of
what they promise (best first, with a cost still to come that is never too high), so few of them are begun at all.
"""

from collections.abc import Sequence
from heapq import heappop, heappush
from math import inf, log
from typing import NamedTuple, TypeAlias

from score.parts.page_bounds import PossibleSystem, costs_ahead

# Costs without unit, weighed by looking at pages: a turn without time is worse than a page left half empty.
BAD_TURN, BLANK, TURN_BACK, PAGE = 6.0, 5.0, 1.0, 1.0
TIGHTEST, LOOSEST = 0.86, 2.2
_BEST_STRETCH = 1.12
_LONGEST_SYSTEM = 24
"""Bars; where so many in a row end no system that fits, the page is full."""


class BarShape(NamedTuple):
    """What one printed bar asks of the page.

    Attributes:
        width: natural width, mm.
        above, below: how far it reaches above and below the player's top staff line, mm.
        cued: a cue stands in it.
        turn_seconds: free hands around the line that ends it, seconds.
    """

    width: float
    above: float
    below: float
    cued: bool
    turn_seconds: float


class PageShape(NamedTuple):
    """What a page offers.

    Attributes:
        width: of a system, mm.
        height: for systems, mm.
        first_height: the same on the first page, below title and legend.
        head: clef and key at the start of a system, mm.
        cue_height: how much less a system without a cue needs, mm.
        gap: least distance between systems, mm.
        turn_seconds: free hands a turn needs, seconds.
    """

    width: float
    height: float
    first_height: float
    head: float
    cue_height: float
    gap: float
    turn_seconds: float


_Starts: TypeAlias = "tuple[()] | tuple[_Starts, int]"
"""Where each system of a division begins: the last one's first bar, after those before it."""


class _Division(NamedTuple):
    """A division of some bars into systems.

    Made by the thousand, so the search makes plain tuples; this names what they hold: the cost with what is left blank
    now, the cost alone, the height in mm, where each system begins.
    """

    with_blank: float
    cost: float
    height: float
    starts: _Starts


def divide_pages(bars: Sequence[BarShape], page: PageShape, backs: Sequence[tuple[int, int]] = ()) -> list[list[range]]:
    """Pages of systems of bars, as positions in `bars`; every bar stands in exactly one system.

    Args:
        bars: what each printed bar asks for; at least one.
        page: what a page offers.
        backs: jumps back, (bar left, bar gone to) as positions: a page line between them needs a turn back.
    """
    systems = [_systems_to(bars, page, end) for end in range(len(bars) + 1)]
    ends = [page_cost(bars, page, end, 0.0, page.height, backs) for end in range(len(bars) + 1)]
    ahead = costs_ahead(systems, ends, page.height, page.gap)
    best: list[tuple[float, int, _Starts]] = [(inf, -1, ())] * (len(bars) + 1)
    best[0] = (0.0, -1, ())
    waiting, done = [(ahead[0], 0)], set[int]()
    while waiting:
        _, start = heappop(waiting)
        if start == len(bars):
            break
        if start in done:
            continue
        done.add(start)
        height = page.height if start else page.first_height
        for end, line in _pages_from(systems, page.gap, start, height):
            total = best[start][0] + ends[end] + (line.with_blank if end < len(bars) else line.cost)
            if total < best[end][0]:
                best[end] = (total, start, line.starts)
                heappush(waiting, (total + ahead[end], end))
    return _trace(best, len(bars))


def _pages_from(
    systems: Sequence[Sequence[PossibleSystem]], gap: float, start: int, height: float
) -> list[tuple[int, _Division]]:
    """Every page that can begin with a bar: its end and its divisions into systems that may be worth while.

    A division is kept when no other to the same bar is both cheaper and lower.
    """
    lines: dict[int, list[_Division]] = {start: [_Division(0.0, 0.0, -gap, starts=())]}
    reached = start
    for end in range(start + 1, len(systems)):
        ending: list[tuple[float, float, float, _Starts]] = []
        for first, cost, tall in systems[end]:
            if first < start:
                break
            for _, cost_before, height_before, starts in lines.get(first, ()):
                used = height_before + gap + tall
                if used <= height or first == start:
                    total = cost_before + cost
                    ending.append((total + _blank_cost(height - used, height), total, used, (starts, first)))
        if ending:
            lines[end], reached = _undominated(ending), end
        elif end - reached > _LONGEST_SYSTEM:
            break
    del lines[start]
    return [(end, line) for end, divisions in lines.items() for line in divisions]


def _undominated(divisions: list[tuple[float, float, float, _Starts]]) -> list[_Division]:
    """The divisions that can still be part of the best plan.

    A lower one leaves more of the page blank, but what that costs only shrinks as the page fills: one that is
    lower and cheaper even with the blank it leaves now will stay so.
    """
    lowest, lines = inf, []
    divisions.sort()
    for line in divisions:
        if line[2] < lowest:
            lowest = line[2]
            lines.append(_Division(*line))
    return lines


def _blank_cost(blank: float, room: float) -> float:
    return BLANK * max(0.0, blank / room - 0.15) ** 2


def _systems_to(bars: Sequence[BarShape], page: PageShape, end: int) -> list[PossibleSystem]:
    """Every system that can end before a bar, the shortest first."""
    systems = []
    width, above, below, cued = page.head, 0.0, 0.0, False
    for first in range(end - 1, -1, -1):
        bar = bars[first]
        width += bar.width
        above, below, cued = max(above, bar.above), max(below, bar.below), cued or bar.cued
        stretch = page.width / width
        if stretch < TIGHTEST and first < end - 1:
            break
        tall = above + below - (0.0 if cued else page.cue_height)
        systems.append(PossibleSystem(first, system_cost(stretch, last=end == len(bars)), tall))
    return systems


def system_height(bars: Sequence[BarShape], page: PageShape) -> float:
    """Height of a system of these bars, mm."""
    cue = 0.0 if any(bar.cued for bar in bars) else page.cue_height
    return max(bar.above for bar in bars) + max(bar.below for bar in bars) - cue


def system_cost(stretch: float, last: bool) -> float:
    """Cost of a system whose bars are stretched by a factor from their natural widths."""
    if last and stretch > _BEST_STRETCH:
        return 0.0  # the last system is not stretched to the margin
    cost = (log(stretch / _BEST_STRETCH) / log(1.5)) ** 2
    return cost + (3.0 if stretch > LOOSEST or stretch < TIGHTEST else 0.0)


def page_cost(
    bars: Sequence[BarShape],
    page: PageShape,
    end: int,
    blank: float,
    height: float,
    backs: Sequence[tuple[int, int]],
) -> float:
    """Cost of a page that ends before a bar, with so much of its height left blank, mm."""
    if end == len(bars):
        return PAGE
    seconds = bars[end - 1].turn_seconds
    lacking = 0.0 if seconds >= page.turn_seconds else BAD_TURN * (1.5 - 0.5 * seconds / page.turn_seconds)
    back = TURN_BACK * sum(there < end <= here for here, there in backs)
    return PAGE + lacking + back + _blank_cost(blank, height)


def _trace(best: Sequence[tuple[float, int, _Starts]], end: int) -> list[list[range]]:
    pages: list[list[range]] = []
    while end > 0:
        _, start, starts = best[end]
        lines: list[range] = []
        while starts:
            starts, first = starts
            lines.append(range(first, end))
            end = first
        pages.append(lines[::-1])
        assert end == start
    return pages[::-1]

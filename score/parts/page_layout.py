"""Which bars share a system and which systems share a page, so that turns fall where hands are free.

Found exactly by dynamic programming over bars: inside a page the division into systems that is nearest to
the bars' natural widths, over pages the one with good turns and full pages. Where several pages lie open side by side
a turn counts only after the last of them. Pages are begun in the order of what they promise (best first, with a cost
still to come that is never too high), so few of them are begun at all.
"""

from collections.abc import Mapping, Sequence
from heapq import heapify, heappop, heappush
from math import inf
from typing import NamedTuple, TypeAlias

from score.parts.page_bounds import PageEnd, PossibleSystem, costs_ahead
from score.parts.page_costs import (
    BLANK,
    BLANK_FREE,
    BLANK_PAGE,
    HALF_EMPTY,
    LOOSEST,
    PAGE,
    BarShape,
    PageShape,
    last_page_cost,
    lone_bar,
    page_cost,
    system_cost,
)

_LEAST_FIRST = 0.3
"""Of a page: where less is left for music below the title, the title has the page to itself."""
_STRETCH, _KEPT = 600, 400
"""Bars that are divided at once, and how many of them at most are kept where more follow: five pages and more ahead
change nothing, but the search would have to begin pages nearly everywhere."""
_LONGEST_SYSTEM = 24
"""Bars; where so many in a row end no system that fits, the page is full."""


_Starts: TypeAlias = "tuple[()] | tuple[_Starts, int]"
"""Where each system of a division begins: the last one's first bar, after those before it."""


_Division: TypeAlias = tuple[float, float, float, _Starts]
"""A division of some bars into systems: its cost with what is left blank now, its cost alone, its height in mm, where
each system begins. A plain tuple: the search makes them by the hundred thousand."""


class _PageStart(NamedTuple):
    """Where a page begins: its first bar, and its place among the pages that lie open together."""

    bar: int
    place: int


_TITLE = _PageStart(-1, 0)
"""Before a page for the title alone."""


class _Reached(NamedTuple):
    """The best way to a state: its cost, the state before, the systems of the page between, a blank page after it."""

    cost: float
    before: _PageStart | None = None
    starts: _Starts = ()
    skipped: bool = False


def divide_pages(bars: Sequence[BarShape], page: PageShape, backs: Sequence[tuple[int, int]] = ()) -> list[list[range]]:
    """Pages of systems of bars, as positions in `bars`; every bar stands in exactly one system, a blank page has none.

    The best division there is; of more than `_STRETCH` bars, the best of so many at a time, of whose pages the first
    are kept and the others divided again with what follows.

    Args:
        bars: what each printed bar asks for; at least one.
        page: what a page offers.
        backs: jumps back, (bar left, bar gone to) as positions: a page line between them needs a turn back.
    """
    plan: list[list[range]] = []
    start = 0
    while len(bars) - start > _STRETCH:
        pages = _part_of_plan(bars, page, backs, range(start, start + _STRETCH), plan)
        # Where the stretch ends is not the end of the piece: what was divided with it in sight is not kept.
        plan += _kept(pages, start + _KEPT)
        start = next(lines[-1].stop for lines in reversed(plan) if lines)
    return plan + _part_of_plan(bars, page, backs, range(start, len(bars)), plan)


def _kept(pages: list[list[range]], limit: int) -> list[list[range]]:
    """The pages that end before a bar, with blank ones after them; at least one page of music."""
    beyond = next((number for number, lines in enumerate(pages) if lines and lines[-1].stop > limit), len(pages))
    return pages[: max(beyond, 1 + next(number for number, lines in enumerate(pages) if lines))]


def _part_of_plan(
    bars: Sequence[BarShape],
    page: PageShape,
    backs: Sequence[tuple[int, int]],
    stretch: range,
    before: Sequence[Sequence[range]],
) -> list[list[range]]:
    """Pages of a stretch of bars, after those that are divided already."""
    if before:
        place = (page.before_first + len(before)) % page.side_by_side
        page = page._replace(first_height=page.height, before_first=place)
    inside = [(leave - stretch.start, to - stretch.start) for leave, to in backs if to in stretch and leave in stretch]
    plan = _best_plan(bars[stretch.start : stretch.stop], page, inside, has_title=not before)
    return [[range(line.start + stretch.start, line.stop + stretch.start) for line in lines] for lines in plan]


def _best_plan(
    bars: Sequence[BarShape], page: PageShape, backs: Sequence[tuple[int, int]], has_title: bool
) -> list[list[range]]:
    """The best pages of these bars, the first of which may stand below the title."""
    systems = [_systems_to(bars, page, end) for end in range(len(bars) + 1)]
    ends = _page_ends(bars, page, backs)
    ahead = costs_ahead(systems, ends, page.height, page.gap)
    best = _beginnings(page, has_title)
    divisions: dict[tuple[int, float], list[tuple[int, _Division]]] = {}
    waiting = [(reached.cost + ahead[state.place][0], state) for state, reached in best.items() if state != _TITLE]
    heapify(waiting)
    done = set[_PageStart]()
    while waiting:
        _, state = heappop(waiting)
        if state.bar == len(bars):
            return _trace(best, state)
        if state in done:
            continue
        done.add(state)
        key = state.bar, page.first_height if best[state].before is None else page.height
        if key not in divisions:
            divisions[key] = _pages_from(systems, page.gap, *key)
        is_first = best[state].before is None
        for end, (with_blank, alone, used, starts) in divisions[key]:
            last = alone if end < len(bars) else alone + last_page_cost(used, key[1], first=is_first)
            so_far = best[state].cost + (with_blank if end < len(bars) else last)
            for place, cost, skipped in ends[state.place][end]:
                following = _PageStart(end, place)
                if following not in best or so_far + cost < best[following].cost:
                    best[following] = _Reached(so_far + cost, state, starts, skipped=skipped)
                    heappush(waiting, (so_far + cost + ahead[place][end], following))
    raise AssertionError("every bar can end a page")


def _beginnings(page: PageShape, has_title: bool) -> dict[_PageStart, _Reached]:
    """The music begins below the title, or after a page for the title alone."""
    below = {_PageStart(0, page.before_first): _Reached(0.0)}
    after_title = _PageStart(0, (page.before_first + 1) % page.side_by_side)
    apart = {_TITLE: _Reached(0.0), after_title: _Reached(BLANK_PAGE, _TITLE, skipped=True)}
    if has_title and page.first_height < _LEAST_FIRST * page.height:
        return apart
    return {**apart, **below} if has_title and page.may_skip and page.before_first else below


def _page_ends(
    bars: Sequence[BarShape], page: PageShape, backs: Sequence[tuple[int, int]]
) -> list[list[list[PageEnd]]]:
    """For each place among the open pages and each bar, how a page there can end before that bar."""
    turned = [page_cost(bars, page, end, 0.0, page.height, backs) for end in range(len(bars) + 1)]
    ends: list[list[list[PageEnd]]] = []
    for place in range(page.side_by_side):
        following = (place + 1) % page.side_by_side
        if following == 0:
            ends.append([[PageEnd(0, cost)] for cost in turned])
            continue
        row = [[PageEnd(following, PAGE)] for _ in turned]
        if page.may_skip:
            for end in range(1, len(bars)):
                row[end].append(PageEnd(0, turned[end] + BLANK_PAGE, skipped=True))
        ends.append(row)
    return ends


def _pages_from(
    systems: Sequence[Sequence[PossibleSystem]], gap: float, start: int, height: float
) -> list[tuple[int, _Division]]:
    """Every page that can begin with a bar: its end and its divisions into systems that may be worth while.

    A division is kept when no other to the same bar is both cheaper and lower.
    """
    lines: dict[int, list[_Division]] = {start: [(0.0, 0.0, -gap, ())]}
    reached, full, half = start, height * (1 - BLANK_FREE), height / 2
    square, more = BLANK / height**2, HALF_EMPTY / height
    for end in range(start + 1, len(systems)):
        ending: list[_Division] = []
        for first, cost, tall in systems[end]:
            if first < start:
                break
            for _, cost_before, height_before, starts in lines.get(first, ()):
                used = height_before + gap + tall
                if used <= height or first == start:
                    total = cost_before + cost
                    # Here the search spends its time: `blank_cost` written out takes a third less.
                    blank = square * (full - used) ** 2 if used < full else 0.0
                    if used < half:
                        blank += more * (half - used)
                    ending.append((total + blank, total, used, (starts, first)))
        if ending:
            lines[end], reached = _undominated(ending), end
        elif end - reached > _LONGEST_SYSTEM:
            break
    del lines[start]
    return [(end, line) for end, divisions in lines.items() for line in divisions]


def _undominated(divisions: list[_Division]) -> list[_Division]:
    """The divisions that can still be part of the best plan.

    A lower one leaves more of the page blank, but what that costs only shrinks as the page fills: one that is
    lower and cheaper even with the blank it leaves now will stay so.
    """
    lowest, lines = inf, []
    divisions.sort()
    for line in divisions:
        if line[2] < lowest:
            lowest = line[2]
            lines.append(line)
    return lines


def _systems_to(bars: Sequence[BarShape], page: PageShape, end: int) -> list[PossibleSystem]:
    """Every system that can end before a bar, the shortest first; a loose one only where no bar more would fit."""
    systems = []
    width, above, below, cued, tightest = page.head, 0.0, 0.0, False, 0.0
    following = bars[end] if end < len(bars) else None
    for first in range(end - 1, -1, -1):
        bar = bars[first]
        width += bar.width
        above, below, cued = max(above, bar.above), max(below, bar.below), cued or bar.cued
        stretch, tightest = page.width / width, max(tightest, bar.tightest)
        if stretch < tightest and first < end - 1:
            break
        if (
            stretch > LOOSEST
            and following
            and page.width / (width + following.width) >= max(tightest, following.tightest)
        ):
            continue
        tall = above + below - (0.0 if cued else page.cue_height)
        cost = system_cost(stretch, last=end == len(bars)) + lone_bar(range(first, end), len(bars))
        systems.append(PossibleSystem(first, cost, tall))
    return systems


def _trace(best: Mapping[_PageStart, _Reached], state: _PageStart) -> list[list[range]]:
    pages: list[list[range]] = []
    while (reached := best[state]).before is not None:
        if reached.skipped:
            pages.append([])
        lines: list[range] = []
        starts, end = reached.starts, state.bar
        while starts:
            starts, first = starts
            lines.append(range(first, end))
            end = first
        if lines:
            pages.append(lines[::-1])
        state = reached.before
    return pages[::-1]

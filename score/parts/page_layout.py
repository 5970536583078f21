"""Which bars share a system and which systems share a page, so that turns fall where hands are free.

Found exactly, by a search for the cheapest way through the bars from page to page: inside a page the division into
systems that is nearest to the bars' natural widths, over pages the one with good turns and full pages. Where several
pages lie open side by side a turn counts only after the last of them. What promises most is looked at first (a promise
is never too high), so few pages are ever divided into systems. Of plans that cost the same the one with the earlier
page lines is taken.
"""

from collections.abc import Mapping, Sequence
from heapq import heapify, heappop, heappush
from math import inf
from typing import NamedTuple

from score.parts.page_bounds import PageEnd, PossibleSystem, pages_from, promise
from score.parts.page_costs import (
    BLANK_PAGE,
    LOOSEST,
    PAGE,
    BarShape,
    PageShape,
    lone_bar,
    page_cost,
    room_for_bars,
    system_cost,
)
from score.parts.page_lines import ROUNDING, CheapestPage, Space, Starts, cheapest_page, page_ends

_LEAST_FIRST = 0.3
"""Of a page: where less is left for music below the title, the title has the page to itself."""
_STRETCH, _KEPT = 600, 400
"""Bars that are divided at once, and how many of them at most are kept where more follow: five pages and more ahead
change nothing, but the search would have to begin pages nearly everywhere."""
_SLACK, _MORE_SLACK = 0.25, 2.0
"""What a page may cost more than is promised when it is looked at first; how many times more with every closer look."""


class _PageStart(NamedTuple):
    """Where a page begins: its first bar, and its place among the pages that lie open together."""

    bar: int
    place: int


_TITLE = _PageStart(-1, 0)
"""Before a page for the title alone."""


class _Look(NamedTuple):
    """Something to look at in the search for the best plan: a state that is reached, or a page that begins there.

    Attributes:
        promised: what the whole plan costs then at least.
        state: where the page begins.
        cost: of the pages before it.
        end: the bar before which the page ends; 0 for the state.
        limit: what the page may cost.
        slack: how much of that was not promised.
    """

    promised: float
    state: _PageStart
    cost: float
    end: int = 0
    limit: float = 0.0
    slack: float = 0.0


class _Reached(NamedTuple):
    """The best way to a state: its cost, the state before, the systems of the page between, a blank page after it."""

    cost: float
    before: _PageStart | None = None
    starts: Starts = ()
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
    plan = _PlanSearch(bars[stretch.start : stretch.stop], page, inside, has_title=not before).best_plan()
    return [[range(line.start + stretch.start, line.stop + stretch.start) for line in lines] for lines in plan]


class _PlanSearch:
    """The search for the best plan of some bars: what is to be looked at, and the best way so far to each state."""

    def __init__(
        self, bars: Sequence[BarShape], page: PageShape, backs: Sequence[tuple[int, int]], has_title: bool
    ) -> None:
        self._page, self._last = page, len(bars)
        self._systems = [_systems_to(bars, page, end) for end in range(len(bars) + 1)]
        self._ends = _page_ends(bars, page, backs)
        self._promised = promise(self._systems, self._ends, page.height, page.gap)
        self._best = _beginnings(page, has_title)
        self._looks = [_Look(-inf, state, way.cost) for state, way in self._best.items() if state != _TITLE]
        heapify(self._looks)
        self._pages: dict[tuple[Space, int], CheapestPage] = {}

    def best_plan(self) -> list[list[range]]:
        """The best pages of the bars, the first of which may stand below the title."""
        while self._looks:
            look = heappop(self._looks)
            if look.state.bar == self._last:
                return _trace(self._best, look.state)
            if look.cost > self._best[look.state].cost:
                continue  # since then it was reached at less cost
            if look.end:
                self._look_at_page(look)
            else:
                self._look_at_state(look)
        raise AssertionError("every bar can end a page")

    def _space(self, state: _PageStart) -> Space:
        """The page that begins with a state."""
        is_first = self._best[state].before is None
        return Space(state.bar, self._page.first_height if is_first else self._page.height, is_first)

    def _look_at_state(self, look: _Look) -> None:
        """The pages that can begin there are to be looked at."""
        space = self._space(look.state)
        ends = page_ends(self._systems, self._page.gap, space)
        least = pages_from(self._promised, space.start, ends, space.room, is_first=space.is_first)
        beyond = self._promised.beyond[look.state.place]
        for end, cost in zip(ends, least, strict=True):
            promised = look.cost + cost + beyond[end] - ROUNDING
            heappush(self._looks, _Look(promised, look.state, look.cost, end=end, limit=cost + _SLACK, slack=_SLACK))

    def _look_at_page(self, look: _Look) -> None:
        """What can follow the page is to be looked at; where it costs more than its limit, the page once more."""
        page = self._space(look.state), look.end
        cheapest = self._pages.get(page) or cheapest_page(self._systems, self._promised, *page, look.limit)
        if cheapest is None:
            heappush(self._looks, _closer(look))
            return
        self._pages[page] = cheapest
        for place, cost, skipped in self._ends[look.state.place][look.end]:
            total = look.cost + cheapest.cost + cost
            self._reach(_PageStart(look.end, place), _Reached(total, look.state, cheapest.starts, skipped=skipped))

    def _reach(self, state: _PageStart, way: _Reached) -> None:
        """Keep a way to a state where it is the best so far, and look there."""
        if state in self._best and way[:2] >= self._best[state][:2]:
            return
        self._best[state] = way
        ahead = self._promised.ahead[state.place][state.bar]
        heappush(self._looks, _Look(way.cost + ahead - (ROUNDING if ahead else 0.0), state, way.cost))


def _closer(look: _Look) -> _Look:
    """A look at the same page that may cost more."""
    slack = look.slack * _MORE_SLACK
    return look._replace(promised=look.promised + look.slack, limit=look.limit + slack, slack=slack)


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
    turned = [page_cost(bars, page, end, backs) for end in range(len(bars) + 1)]
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


def _systems_to(bars: Sequence[BarShape], page: PageShape, end: int) -> list[PossibleSystem]:
    """Every system that can end before a bar, the shortest first; a loose one only where no bar more would fit."""
    systems = []
    width, above, below, cued, tightest = 0.0, 0.0, 0.0, False, 0.0
    following = bars[end] if end < len(bars) else None
    room = room_for_bars(page, following)
    longer = room_for_bars(page, bars[end + 1] if end + 1 < len(bars) else None)
    for first in range(end - 1, -1, -1):
        bar = bars[first]
        width += bar.width
        above, below, cued = max(above, bar.above), max(below, bar.below), cued or bar.cued
        stretch, tightest = room / width, max(tightest, bar.tightest)
        if stretch < tightest and first < end - 1:
            break
        if stretch > LOOSEST and following and longer / (width + following.width) >= max(tightest, following.tightest):
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

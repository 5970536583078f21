"""What a division of a part into systems and pages costs: spacing, emptiness, and turns without time."""

from collections.abc import Sequence
from math import inf, log
from typing import NamedTuple

# Costs without unit, weighed by looking at pages: a turn without time is worse than a page left half full, better than
# one left under half full. A page more is worth it where its turn has time and little is left blank.
BAD_TURN, GOOD_TURN, TURN_BACK, PAGE, BLANK_PAGE = 60.0, -1.5, 1.0, 0.0, 3.0
BLANK, BLANK_FREE, HALF_EMPTY = 6.0, 0.05, 2000.0
TIGHTEST, TIGHT, LOOSEST, LONE_BAR = 0.7, 0.755, 2.2, 4.0
"""How far a system may be stretched from its natural width: at the least where its bars allow it, where they do not,
and at the most; what a last system of a single bar costs."""
LAST_PAGE, LAST_FILL = 8.0, 0.35
"""What a last page costs that holds next to nothing, and how full it must be to cost nothing."""
_BEST_STRETCH, _LEAST_ROOM = 1.12, 1.0


class BarShape(NamedTuple):
    """What one printed bar asks of the page.

    Attributes:
        width: natural width, mm.
        above, below: how far it reaches above and below the player's top staff line, mm.
        cued: a cue stands in it.
        turn_seconds: free hands around the line that ends it, seconds.
        tightest: how far it may be narrowed, of its natural width.
        change: width of a new meter or key before it, which a system before it ends with too, mm.
    """

    width: float
    above: float
    below: float
    cued: bool
    turn_seconds: float
    tightest: float = TIGHT
    change: float = 0.0


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
        side_by_side: pages that lie open at once.
        before_first: of these, how many places before the first page stay empty: 1 in a booklet, which begins on a
            right-hand page.
        may_skip: whether a page may stay blank where that saves a turn.
    """

    width: float
    height: float
    first_height: float
    head: float
    cue_height: float
    gap: float
    turn_seconds: float
    side_by_side: int = 1
    before_first: int = 0
    may_skip: bool = False


def system_height(bars: Sequence[BarShape], page: PageShape) -> float:
    """Height of a system of these bars, mm."""
    cue = 0.0 if any(bar.cued for bar in bars) else page.cue_height
    return max(bar.above for bar in bars) + max(bar.below for bar in bars) - cue


def room_for_bars(page: PageShape, following: BarShape | None) -> float:
    """Width that the bars of a system share, mm: what stands at either end of it is never narrowed.

    Args:
        page: what a page offers.
        following: the bar after the system.
    """
    return max(_LEAST_ROOM, page.width - page.head - (following.change if following else 0.0))


def page_fill(bars: Sequence[BarShape], page: PageShape, lines: Sequence[range], first: bool) -> float:
    """How much of a page these systems take, one close below the other; 1 is all of it.

    Args:
        bars: what each printed bar asks for.
        page: what a page offers.
        lines: the systems.
        first: it is the first page.
    """
    used = sum(system_height([bars[i] for i in line], page) + page.gap for line in lines) - page.gap
    return used / (page.first_height if first else page.height)


def plan_cost(
    bars: Sequence[BarShape],
    page: PageShape,
    plan: Sequence[Sequence[range]],
    backs: Sequence[tuple[int, int]] = (),
) -> float:
    """Cost of a whole plan; infinite where a page is too tall for more than one system.

    Args:
        bars: what each printed bar asks for.
        page: what a page offers.
        plan: systems, page by page; a blank page has none.
        backs: jumps back, as for `divide_pages`.
    """
    cost, end = 0.0, 0
    for number, lines in enumerate(plan):
        if not lines:
            cost += BLANK_PAGE
            continue
        room = page.height if number else page.first_height
        used = page_fill(bars, page, lines, first=number == 0) * room
        if used > room and len(lines) > 1:
            return inf
        for line in lines:
            following = bars[line.stop] if line.stop < len(bars) else None
            stretch = room_for_bars(page, following) / sum(bars[i].width for i in line)
            cost += system_cost(stretch, last=line.stop == len(bars)) + lone_bar(line, len(bars))
        end = lines[-1].stop
        is_counted = end == len(bars) or is_turn(page, plan, number)
        cost += page_cost(bars, page, end, backs) if is_counted else PAGE
        cost += blank_cost(room - used, room) if end < len(bars) else last_page_cost(used, room, first=number == 0)
    return cost


def is_turn(page: PageShape, plan: Sequence[Sequence[range]], number: int) -> bool:
    """Whether the player turns between this page of music and the next; pages counted from 0."""
    is_last_open = (number + page.before_first) % page.side_by_side == page.side_by_side - 1
    return any(plan[number + 1 :]) and (is_last_open or not plan[number + 1]) and bool(plan[number])


def system_cost(stretch: float, last: bool) -> float:
    """Cost of a system whose bars are stretched by a factor from their natural widths."""
    if last and stretch > _BEST_STRETCH:
        return 0.0  # the last system is not stretched to the margin
    cost = (log(stretch / _BEST_STRETCH) / log(1.5)) ** 2
    return cost + (3.0 if stretch > LOOSEST or stretch < TIGHTEST else 0.0)


def lone_bar(line: range, count: int) -> float:
    """What a last system of a single bar costs."""
    return LONE_BAR if line.stop == count > 1 and len(line) == 1 else 0.0


def page_cost(bars: Sequence[BarShape], page: PageShape, end: int, backs: Sequence[tuple[int, int]]) -> float:
    """Cost of a page that is turned before a bar, whatever of it is left blank; nothing is turned after the last bar.

    Args:
        bars: what each printed bar asks for.
        page: what a page offers.
        end: position of the bar.
        backs: jumps back, as for `divide_pages`.
    """
    if end == len(bars):
        return PAGE
    seconds = bars[end - 1].turn_seconds
    has_time = seconds >= page.turn_seconds
    turn = GOOD_TURN if has_time else BAD_TURN * (1.5 - 0.5 * seconds / page.turn_seconds)
    back = TURN_BACK * sum(there < end <= here for here, there in backs)
    return PAGE + turn + back


def last_page_cost(used: float, room: float, first: bool) -> float:
    """What a last page costs for which hardly anything is left, so much of its height in mm; an only page nothing."""
    return 0.0 if first else LAST_PAGE * max(0.0, 1 - used / room / LAST_FILL)


def blank_cost(blank: float, room: float) -> float:
    """What a page costs that is left blank in part; grows faster the more is blank, as others here need."""
    share = blank / room
    return BLANK * max(0.0, share - BLANK_FREE) ** 2 + HALF_EMPTY * max(0.0, share - 0.5)


def least_blank_cost(price: float, room: float) -> float:
    """The least that a page can cost that is left blank in part and pays for each mm that is not."""
    share = min(0.5, BLANK_FREE + price * room / (2 * BLANK))
    return price * (1 - share) * room + blank_cost(share * room, room)

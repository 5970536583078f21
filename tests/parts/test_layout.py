"""The division into systems and pages against every possible division; turns against worked seconds."""

import random
from collections.abc import Iterator
from functools import cache
from itertools import combinations, pairwise
from math import inf, isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.parts import page_costs as weights
from score.parts.page_costs import BarShape, PageShape, page_cost, plan_cost, system_cost
from score.parts.page_layout import divide_pages
from score.parts.page_turns import free_seconds, turns_back

PAGE = PageShape(100.0, 60.0, 45.0, 10.0, 5.0, 4.0, 2.0)
SHAPES = st.lists(
    st.builds(
        BarShape,
        st.sampled_from([20.0, 30.0, 45.0, 90.0]),
        st.sampled_from([8.0, 12.0]),
        st.sampled_from([9.0, 14.0]),
        st.booleans(),
        st.sampled_from([0.0, 1.0, 2.5]),
        st.sampled_from([0.72, 0.86]),
        st.sampled_from([0.0, 0.0, 8.0, 90.0]),
    ),
    min_size=1,
    max_size=8,
)


def divisions(items: list[int]) -> Iterator[list[range]]:
    inner = items[1:]
    for count in range(len(items)):
        for cuts in combinations(inner, count):
            yield [range(a, b) for a, b in pairwise((items[0], *cuts, items[-1] + 1))]


def every_plan(count: int, page: PageShape) -> Iterator[list[list[range]]]:
    for systems in divisions(list(range(count))):
        for pages in divisions(list(range(len(systems)))):
            plan = [[systems[i] for i in page] for page in pages]
            yield from with_blanks(plan, [], page) if page.may_skip else [plan]


def with_blanks(left: list[list[range]], done: list[list[range]], page: PageShape) -> Iterator[list[list[range]]]:
    """The plan with a blank right-hand page wherever one may stand: instead of the first, or after a left-hand page."""
    if not left:
        yield done
        return
    is_right = (len(done) + page.before_first) % 2 == 1
    if is_right and (not done or done[-1]):
        yield from with_blanks(left, [*done, []], page)
    yield from with_blanks(left[1:], [*done, left[0]], page)


def system(bars: list[BarShape], line: range, shape: PageShape) -> tuple[float, float]:
    """What a system costs, and its height; infinite where its bars cannot share one."""
    here = [bars[i] for i in line]
    width = sum(bar.width for bar in here)
    change = bars[line.stop].change if line.stop < len(bars) else 0.0
    stretch, tightest = max(1.0, shape.width - shape.head - change) / width, max(bar.tightest for bar in here)
    if stretch < tightest and len(here) > 1:
        return inf, 0.0
    if stretch > weights.LOOSEST and line.stop < len(bars):
        following = bars[line.stop]
        after = bars[line.stop + 1].change if line.stop + 1 < len(bars) else 0.0
        if max(1.0, shape.width - shape.head - after) / (width + following.width) >= max(tightest, following.tightest):
            return inf, 0.0
    is_last = line.stop == len(bars)
    lone = 4.0 if is_last and len(line) == 1 and len(bars) > 1 else 0.0
    cue = 0.0 if any(bar.cued for bar in here) else shape.cue_height
    height = max(bar.above for bar in here) + max(bar.below for bar in here) - cue
    return system_cost(stretch, last=is_last) + lone, height


def blank(used: float, room: float, *, is_last: bool, is_first: bool) -> float:
    """What a page costs that is filled so far."""
    if is_last:
        return 0.0 if is_first else weights.LAST_PAGE * max(0.0, 1 - used / room / weights.LAST_FILL)
    share = (room - used) / room
    return weights.BLANK * max(0.0, share - weights.BLANK_FREE) ** 2 + weights.HALF_EMPTY * max(0.0, share - 0.5)


def cost(bars: list[BarShape], plan: list[list[range]], shape: PageShape = PAGE) -> float:
    """The whole plan's cost, added up from the outside; infinite when a page of several systems overflows."""
    total = 0.0
    for number, page in enumerate(plan):
        if not page:
            total += weights.BLANK_PAGE
            continue
        room = shape.height if number else shape.first_height
        systems = [system(bars, line, shape) for line in page]
        used = sum(height for _, height in systems) + shape.gap * (len(page) - 1)
        if used > room and len(page) > 1:
            return inf
        end = page[-1].stop
        is_last_open = (number + 1 + shape.before_first) % shape.side_by_side == 0
        is_before_blank = number + 1 < len(plan) and not plan[number + 1]
        is_turned = is_last_open or is_before_blank or end == len(bars)
        total += sum(least for least, _ in systems)
        total += page_cost(bars, shape, end, ()) if is_turned else weights.PAGE
        total += blank(used, room, is_last=end == len(bars), is_first=number == 0)
    return total


def least_cost(bars: list[BarShape], shape: PageShape) -> float:
    """The cost of the best plan, page by page from the last bar back, nothing left out."""

    @cache
    def pages(start: int, place: int, is_first: bool) -> float:
        if start == len(bars):
            return 0.0
        room = shape.first_height if is_first else shape.height
        fills, least = {start: {-shape.gap: 0.0}}, inf
        for end in range(start + 1, len(bars) + 1):
            ending = fills[end] = dict[float, float]()
            for first in range(start, end):
                more, height = system(bars, range(first, end), shape) if fills[first] else (inf, 0.0)
                for before, so_far in fills[first].items() if more < inf else ():
                    used = before + shape.gap + height
                    if used <= room or first == start:
                        ending[used] = min(ending.get(used, inf), so_far + more)
            is_last, following = end == len(bars), (place + 1) % shape.side_by_side
            turned = page_cost(bars, shape, end, ())
            beyond = (weights.PAGE if following else turned) + pages(end, following, False) if ending else inf
            if ending and following and shape.may_skip and not is_last:
                beyond = min(beyond, turned + weights.BLANK_PAGE + pages(end, 0, False))
            for used, so_far in ending.items():
                least = min(least, so_far + blank(used, room, is_last=is_last, is_first=is_first) + beyond)
        return least

    apart = weights.BLANK_PAGE + pages(0, 0, False) if shape.may_skip else inf
    return min(pages(0, shape.before_first, True), apart)


STANDS = {
    "one page open": PAGE,
    "two": PAGE._replace(side_by_side=2),
    "three": PAGE._replace(side_by_side=3),
    "a booklet": PAGE._replace(side_by_side=2, before_first=1, may_skip=True),
}


@pytest.mark.parametrize("stand", STANDS)
@settings(deadline=None, max_examples=15)
@given(bars=SHAPES)
def test_no_division_is_cheaper(stand: str, bars: list[BarShape]) -> None:
    # Outside check: brute force over every division into systems and pages.
    page = STANDS[stand]
    plan = divide_pages(bars, page)
    assert [i for lines in plan for line in lines for i in line] == list(range(len(bars)))
    least = min(cost(bars, other, page) for other in every_plan(len(bars), page))
    assert isclose(cost(bars, plan, page), least, rel_tol=1e-9)
    assert isclose(plan_cost(bars, page, plan), least, rel_tol=1e-9)


@pytest.mark.parametrize("stand", STANDS)
def test_no_division_of_a_longer_piece_is_cheaper(stand: str) -> None:
    # Outside check: plain dynamic programming, without promises and without leaving anything out.
    rng = random.Random(11)
    for _ in range(4):
        bars = [
            BarShape(
                rng.choice((15.0, 20.0, 30.0, 45.0)),
                rng.choice((8.0, 12.0)),
                rng.choice((9.0, 14.0)),
                cued=rng.random() < 0.5,
                turn_seconds=rng.choice((0.0, 0.0, 1.0, 2.5)),
            )
            for _ in range(40)
        ]
        page = STANDS[stand]._replace(height=rng.choice((60.0, 100.0, 150.0)))
        plan = divide_pages(bars, page)
        assert isclose(cost(bars, plan, page), least_cost(bars, page), rel_tol=1e-9)


@settings(deadline=None, max_examples=60)
@given(SHAPES)
def test_every_bar_stands_once_and_pages_fit(bars: list[BarShape]) -> None:
    found = divide_pages(bars, PAGE)
    assert [i for page in found for line in page for i in line] == list(range(len(bars)))
    assert cost(bars, found) < inf


def test_a_page_ends_where_hands_are_free() -> None:
    # Two systems of two bars fill a page, so the first page would end after bar 4; hands are free after bar 3.
    turns = [0.0, 0.0, 3.0, *[0.0] * 4]
    bars = [BarShape(45.0, 10.0, 10.0, cued=True, turn_seconds=seconds) for seconds in turns]
    assert [page[-1][-1] for page in divide_pages(bars, PAGE)][:1] == [2]
    busy = [BarShape(45.0, 10.0, 10.0, cued=True, turn_seconds=0.0) for _ in range(8)]
    assert [page[-1][-1] for page in divide_pages(busy, PAGE)] == [3, 7]


def test_with_two_pages_open_only_every_second_turn_counts() -> None:
    # A page holds four bars in two systems; hands are free after bars 3 and 7 alone.
    bars = [BarShape(45.0, 10.0, 10.0, cued=True, turn_seconds=3.0 if i in (2, 6) else 0.0) for i in range(12)]
    page = PAGE._replace(first_height=60.0)
    assert [lines[-1][-1] for lines in divide_pages(bars, page)][:2] == [2, 6]
    two_open = [lines[-1][-1] for lines in divide_pages(bars, page._replace(side_by_side=2))]
    assert two_open[1] == 6
    three_open = [lines[-1][-1] for lines in divide_pages(bars, page._replace(side_by_side=3))]
    assert three_open == [3, 7, 11]


def test_a_booklet_begins_on_a_right_hand_page_and_skips_one_only_where_that_saves_a_turn() -> None:
    booklet = PAGE._replace(side_by_side=2, before_first=1, may_skip=True, first_height=60.0)
    calm = [BarShape(45.0, 10.0, 10.0, cued=True, turn_seconds=9.0)] * 12
    assert [] not in divide_pages(calm, booklet)
    # Nowhere is there time to turn but after eight bars: the title has page 1, pages 2 and 3 lie open to there.
    busy = [bar._replace(turn_seconds=9.0 if i == 7 else 0.0) for i, bar in enumerate(calm)]
    plan = divide_pages(busy, booklet)
    assert plan[0] == []
    assert plan[2][-1][-1] == 7


def test_no_page_but_the_last_is_under_half_full_for_a_turn() -> None:
    # A page holds four bars in two systems; the only rest comes after the first system's first bar.
    turns = [15.0, *[0.0] * 11]
    bars = [BarShape(45.0, 10.0, 10.0, cued=True, turn_seconds=seconds) for seconds in turns]
    page = PAGE._replace(height=100.0, first_height=100.0)
    assert next(lines[-1][-1] for lines in divide_pages(bars, page)) >= 3


@pytest.mark.parametrize("stand", STANDS)
def test_a_long_piece_divided_in_stretches_costs_what_it_costs_at_once(
    stand: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = random.Random(7)
    widths, heights = (20.0, 30.0, 45.0), (8.0, 12.0)
    bars = [
        BarShape(
            rng.choice(widths),
            rng.choice(heights),
            rng.choice(heights),
            cued=rng.random() < 0.5,
            turn_seconds=rng.choice((0.0, 1.0, 3.0)),
        )
        for _ in range(240)
    ]
    page, backs = STANDS[stand], [(100, 40), (200, 199)]
    at_once = plan_cost(bars, page, divide_pages(bars, page, backs), backs)
    monkeypatch.setattr("score.parts.page_layout._STRETCH", 80)
    monkeypatch.setattr("score.parts.page_layout._KEPT", 50)
    plan = divide_pages(bars, page, backs)
    assert [i for lines in plan for line in lines for i in line] == list(range(len(bars)))
    assert at_once <= plan_cost(bars, page, plan, backs) <= at_once * 1.02 + 1


def test_free_seconds_are_the_rests_around_the_line(make_piece) -> None:
    # At 120 a bar of 4/4 lasts 2 s. Player 1: plays to the middle of bar 1, rests bar 2, enters on beat 3 of bar 3.
    piece = make_piece("|xx..|....|..xx|x---|", "|xxxx|xxxx|xxxx|xxxx|")
    assert free_seconds(piece, 1) == pytest.approx((4.0, 4.0, 0.0, inf))
    assert free_seconds(piece, 2) == pytest.approx((0.0, 0.0, 0.0, inf))


def test_a_note_held_over_the_line_leaves_no_hand(make_piece) -> None:
    piece = make_piece("|..x-|--..|....|x...|")
    assert free_seconds(piece, 1)[:3] == pytest.approx((0.0, 3.0, 3.0))


def test_jumps_back_are_found_once(make_piece) -> None:
    piece = make_piece("|xxxx|xxxx|xxxx|", playing_order=(0, 1, 0, 1, 2))
    assert turns_back(piece) == ((1, 0),)

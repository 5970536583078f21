"""The division into systems and pages against every possible division; turns against worked seconds."""

from collections.abc import Iterator
from itertools import combinations, pairwise
from math import inf, isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.parts.page_layout import BarShape, PageShape, divide_pages, page_cost, system_cost
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
    ),
    min_size=1,
    max_size=8,
)


def divisions(items: list[int]) -> Iterator[list[range]]:
    inner = items[1:]
    for count in range(len(items)):
        for cuts in combinations(inner, count):
            yield [range(a, b) for a, b in pairwise((items[0], *cuts, items[-1] + 1))]


def every_plan(count: int) -> Iterator[list[list[range]]]:
    for systems in divisions(list(range(count))):
        for pages in divisions(list(range(len(systems)))):
            yield [[systems[i] for i in page] for page in pages]


def cost(bars: list[BarShape], plan: list[list[range]]) -> float:
    """The whole plan's cost, added up from the outside; infinite when a page of several systems overflows."""
    total = 0.0
    for number, page in enumerate(plan):
        room = PAGE.height if number else PAGE.first_height
        used = -PAGE.gap
        for line in page:
            here = [bars[i] for i in line]
            stretch = PAGE.width / (PAGE.head + sum(bar.width for bar in here))
            if stretch < 0.86 and len(here) > 1:
                return inf
            cue = 0.0 if any(bar.cued for bar in here) else PAGE.cue_height
            used += PAGE.gap + max(bar.above for bar in here) + max(bar.below for bar in here) - cue
            total += system_cost(stretch, last=line[-1] == len(bars) - 1)
        if used > room and len(page) > 1:
            return inf
        total += page_cost(bars, PAGE, page[-1][-1] + 1, room - used, room, ())
    return total


@settings(deadline=None, max_examples=60)
@given(SHAPES)
def test_no_division_is_cheaper(bars: list[BarShape]) -> None:
    # Outside check: brute force over every division into systems and pages.
    found = divide_pages(bars, PAGE)
    assert [i for page in found for line in page for i in line] == list(range(len(bars)))
    assert isclose(cost(bars, found), min(cost(bars, plan) for plan in every_plan(len(bars))), rel_tol=1e-9)


@settings(deadline=None, max_examples=100)
@given(SHAPES)
def test_every_bar_stands_once_and_pages_fit(bars: list[BarShape]) -> None:
    found = divide_pages(bars, PAGE)
    assert [i for page in found for line in page for i in line] == list(range(len(bars)))
    assert cost(bars, found) < inf


def test_a_page_ends_where_hands_are_free() -> None:
    # Two systems of two bars fill a page, so the first page would end after bar 4; hands are free after bar 3.
    turns = [0.0, 0.0, 3.0, *[0.0] * 4]
    bars = [BarShape(45.0, 10.0, 10.0, True, seconds) for seconds in turns]
    assert [page[-1][-1] for page in divide_pages(bars, PAGE)][:1] == [2]
    busy = [BarShape(45.0, 10.0, 10.0, True, 0.0) for _ in turns]
    assert [page[-1][-1] for page in divide_pages(busy, PAGE)] == [3, 6]


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

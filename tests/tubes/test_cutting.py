"""Cut lists against a worked example, instances with a known best packing, and brute force."""

import random
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.errors import RequestError
from score.tubes.cutting.cut_list import Stock, cut_plan

OCTAVE = (639.9, 568.3, 504.6, 475.4, 421.8, 374.0, 331.5, 311.9)


def sound(plan):
    """Every tube once, no stick overfull, none taken more often than there is."""
    assert sorted(piece for stick in plan.sticks for piece in stick.pieces) == list(range(len(plan.lengths)))
    for stick in plan.sticks:
        used = sum(plan.lengths[piece] + plan.kerf for piece in stick.pieces)
        assert used == pytest.approx(stick.used)
        # Nanometres: room for the noise of floats, none for a tube that does not fit.
        assert used <= stick.stock.length + 1e-5
        if stick.stock.count is not None:
            assert sum(other.stock == stick.stock for other in plan.sticks) <= stick.stock.count
    return plan


def test_an_octave_from_ten_feet():
    # C3-C4 diatonic, 3048 mm and 3.2 mm a cut: two sticks, one packing uses 3003.2 and 649.8 (worked example).
    assert sum(OCTAVE) == pytest.approx(3627.4)
    plan = sound(cut_plan(OCTAVE, [Stock(3048)], 3.2))
    assert plan.bought == 2
    assert plan.proven
    assert sorted(stick.used for stick in plan.sticks) == pytest.approx([649.8, 3003.2])


@pytest.mark.parametrize("seed", range(4))
def test_triplets(seed):
    """Falkenauer's triplets (J. Heuristics 2, 1996): three pieces fill a bin of 1000 exactly, so 60/3 bins are best."""
    rng = random.Random(seed)
    pieces = []
    for _ in range(20):
        first = rng.randrange(380, 490)
        second = rng.randrange(250, (1000 - first) // 2)
        pieces += [first, second, 1000 - first - second]
    rng.shuffle(pieces)
    plan = sound(cut_plan(pieces, [Stock(1000)], 0, patience=20))
    assert len(plan.sticks) == 20
    assert plan.proven


@pytest.mark.parametrize("seed", range(6))
def test_sticks_that_were_cut_up(seed):
    """Sticks broken into pieces at random go back into as many sticks."""
    rng = random.Random(seed)
    pieces = []
    for _ in range(6):
        cuts = sorted(rng.sample(range(200, 2900, 7), 5))
        ends = [0, *cuts, 3048]
        pieces += [b - a - 3.2 for a, b in pairwise(ends) if b - a > 10]
    assert len(pieces) >= 30
    plan = sound(cut_plan(pieces, [Stock(3048)], 3.2))
    assert plan.bought == 6


@pytest.mark.parametrize("times", [1, 2])
def test_where_the_longest_first_needs_more(times):
    """Johnson's family (thesis, MIT 1973): first fit of the longest first takes 11 bins where 9 do."""
    quarter, little = 250, 10
    pieces = [2 * quarter + little, quarter + 2 * little, quarter + little] * (6 * times)
    pieces += [quarter - 2 * little] * (12 * times)
    plan = sound(cut_plan(pieces, [Stock(1000)], 0))
    assert (plan.bought, plan.proven) == (9 * times, True)


def test_where_parts_of_sticks_would_do():
    """Fieldhouse (SICUP Bulletin 5, 1990; from memory): 1.962 sticks if parts of sticks would do, but 3 whole ones."""
    plan = sound(cut_plan([44] * 2 + [33] * 3 + [12] * 6, [Stock(132)], 0))
    assert (plan.bought, plan.proven) == (3, True)


def test_what_fits_to_the_thirty_second_of_an_inch():
    """Four tubes and four cuts of 1/8 in that are ten feet exactly; a hair more does not fit."""
    inch = 25.4
    tubes = [(20 + 5 / 32) * inch, (30 + 7 / 32) * inch, (33 + 11 / 32) * inch, (35 + 25 / 32) * inch]
    plan = sound(cut_plan(tubes, [Stock(10 * 12 * inch)], inch / 8))
    assert (plan.bought, plan.proven) == (1, True)
    assert plan.sticks[0].rest == pytest.approx(0, abs=1e-6)
    assert sound(cut_plan([*tubes[:3], tubes[3] + 0.001], [Stock(10 * 12 * inch)], inch / 8)).bought == 2


def brute(sizes, stock):
    """The best (new sticks, pipe used) over every way to put pieces into sticks."""
    sticks = [(one.length, one.leftover) for one in stock for _ in range(one.count or len(sizes))]
    best = None
    for where in product(range(len(sticks)), repeat=len(sizes)):
        room = [length for length, _ in sticks]
        for size, at in zip(sizes, where, strict=True):
            room[at] -= size
        if min(room) >= -1e-9:
            used = [sticks[at] for at in set(where)]
            cost = (sum(not left for _, left in used), sum(length for length, _ in used))
            best = cost if best is None else min(best, cost)
    return best


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(100, 600), min_size=1, max_size=5),
    st.lists(st.integers(200, 900), max_size=2, unique=True),
    st.sampled_from([(1000,), (1000, 700)]),
    st.sampled_from([0, 1, 3, 4]),
)
def test_against_brute_force(pieces, leftovers, new, kerf):
    """Single stock, mixed stock, leftovers in hand."""
    stock = [*(Stock(length, 3 if len(new) == 1 else 2) for length in new)]
    stock += [Stock(length, 1, True) for length in leftovers]
    expected = brute([piece + kerf for piece in pieces], stock)
    if expected is None:
        with pytest.raises(RequestError, match="Not enough pipe"):
            cut_plan(pieces, stock, kerf)
    else:
        plan = sound(cut_plan(pieces, stock, kerf))
        assert (plan.bought, sum(stick.stock.length for stick in plan.sticks)) == pytest.approx(expected)
        assert plan.proven


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("leftovers", [0, 6])
def test_forty_tubes_are_proven(seed, leftovers):
    """The hard middle: two to four tubes a stick, and leftovers that nearly fit."""
    rng = random.Random(seed)
    tubes = [round(rng.uniform(200, 1500), 1) for _ in range(40)]
    stock = [Stock(2000), Stock(3000)] if seed == 1 else [Stock(2000 + 1000 * (seed == 2))]
    stock += [Stock(round(rng.uniform(250, 2500)), 1, True) for _ in range(leftovers)]
    assert sound(cut_plan(tubes, stock, 3.2, patience=30)).proven


def test_says_when_it_is_not_proven():
    rng = random.Random(2)
    tubes = [round(rng.uniform(200, 1500), 1) for _ in range(40)]
    stock = [Stock(2000), *(Stock(round(rng.uniform(250, 2500)), 1, True) for _ in range(6))]
    assert not sound(cut_plan(tubes, stock, 3.2, patience=0)).proven


def test_leftovers_first():
    plan = sound(cut_plan([800, 700, 400], [Stock(3000), Stock(1250, 1, True), Stock(820, 1, True)], 3.2))
    assert plan.bought == 0
    plan = sound(cut_plan([800, 700, 400], [Stock(3000), Stock(820, 1, True)], 3.2))
    assert plan.bought == 1
    # The leftover alone does not save the stick, so it stays whole.
    assert [stick.stock.length for stick in plan.sticks] == [3000]


def test_the_shorter_stick_when_it_will_do():
    plan = sound(cut_plan([900, 900], [Stock(3000), Stock(2000)], 3.2))
    assert [stick.stock.length for stick in plan.sticks] == [2000]


@pytest.mark.parametrize(
    ("lengths", "stock", "kerf", "says"),
    [
        ([900], [Stock(800)], 3.2, "longest stick"),
        ([799], [Stock(800)], 3.2, "longest stick"),
        ([500, 500], [Stock(600, 1, True)], 3.2, "cannot hold every tube"),
        ([500], [], 3.2, "nothing to cut from"),
        ([500], [Stock(600)], -1, "not the width"),
    ],
)
def test_not_enough(lengths, stock, kerf, says):
    with pytest.raises(RequestError, match=says):
        cut_plan(lengths, stock, kerf)

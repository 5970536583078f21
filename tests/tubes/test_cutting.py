"""Cut lists against a worked example, instances with a known best packing, and brute force."""

import random
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.errors import RequestError
from score.tubes.cutting import Stock, cut_plan
from score.tubes.packing import patterns
from score.tubes.programs import by_pattern, by_piece

OCTAVE = (639.9, 568.3, 504.6, 475.4, 421.8, 374.0, 331.5, 311.9)


def sound(plan):
    """Every tube once, no stick overfull, none taken more often than there is."""
    assert sorted(piece for stick in plan.sticks for piece in stick.pieces) == list(range(len(plan.lengths)))
    for stick in plan.sticks:
        used = sum(plan.lengths[piece] + plan.kerf for piece in stick.pieces)
        assert used == pytest.approx(stick.used)
        assert used <= stick.stock.length + 0.01
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


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(100, 600), min_size=1, max_size=5),
    st.lists(st.integers(200, 900), max_size=2, unique=True),
)
def test_against_brute_force(pieces, leftovers):
    stock = [Stock(1000), *(Stock(length, 1, True) for length in leftovers)]
    plan = sound(cut_plan(pieces, stock, 3))
    expected = brute([piece + 3 for piece in pieces], [Stock(1000, 2 if len(pieces) < 4 else 3), *stock[1:]])
    if expected is not None:
        assert (plan.bought, sum(stick.stock.length for stick in plan.sticks)) == pytest.approx(expected)
        assert plan.proven


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(100, 600), min_size=1, max_size=7))
def test_both_programs_agree(pieces):
    ways = patterns(pieces, 1000, 10000)
    packed, proven = by_pattern(len(pieces), [ways], [None], [1.0], 5)
    assert proven
    assert by_piece(pieces, [1000], [0] * len(packed), 5)[0] is not None
    if len(packed) > 1:
        assert by_piece(pieces, [1000], [0] * (len(packed) - 1), 5) == (None, True)


def test_every_pattern_is_full():
    # 500+400 and 400+300+200 fill 900; 500+300 and 500+200 leave room for nothing more, 500+300 for no 200.
    found = {frozenset(way) for way in patterns((500, 400, 300, 200), 900, 100)}
    assert found == {frozenset({0, 1}), frozenset({0, 2}), frozenset({0, 3}), frozenset({1, 2, 3})}
    assert patterns(range(100, 200), 3000, 50) is None


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
        ([500], [Stock(600)], -1, "no width"),
    ],
)
def test_not_enough(lengths, stock, kerf, says):
    with pytest.raises(RequestError, match=says):
        cut_plan(lengths, stock, kerf)

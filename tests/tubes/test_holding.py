"""Bounds and searches behind the cut list, each against brute force."""

from itertools import combinations, product
from time import monotonic

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.tubes.cutting import packing_proof
from score.tubes.cutting.packing_bounds import by_length, fillings, pieces_of, priced
from score.tubes.cutting.packing_programs import cover
from score.tubes.cutting.packing_proof import Holding
from score.tubes.cutting.patterns import Columns
from score.tubes.cutting.stick_choice import Choices
from score.tubes.cutting.tight_sticks import filled

SIZES = st.lists(st.integers(100, 600), min_size=1, max_size=7)
WORTHS = st.lists(st.integers(0, 50), min_size=7, max_size=7)


def until():
    return monotonic() + 20


def subsets(sizes, room):
    """Every set of pieces, by index, that fits a room."""
    for many in range(len(sizes) + 1):
        for held in combinations(range(len(sizes)), many):
            if sum(sizes[n] for n in held) <= room:
                yield held


def fits(sizes, rooms):
    """Whether sticks hold every piece, by trying every way."""
    for where in product(range(len(rooms)), repeat=len(sizes)):
        left = list(rooms)
        for size, at in zip(sizes, where, strict=True):
            left[at] -= size
        if min(left) >= 0:
            return True
    return False


@settings(max_examples=50, deadline=None)
@given(SIZES, WORTHS)
def test_no_filling_is_worth_more_than_the_most(sizes, worths):
    pieces = pieces_of(sizes, [1000.0])
    prices = priced(pieces, np.array(worths[: len(pieces.sizes)], dtype=float))
    every = pieces.every * 1e-6
    best = max(sum(prices.each[n] for n in held) for held in subsets(every, 1000))
    # Sizes are rounded down to steps of a thirtieth of a millimetre: the most may be too much, never too little.
    assert (
        best - 1e-9 <= prices.most[0] <= max(sum(prices.each[n] for n in held) for held in subsets(every, 1001)) + 1e-9
    )


@settings(max_examples=50, deadline=None)
@given(SIZES, st.integers(0, 900))
def test_every_filling_is_found_once(sizes, spare):
    pieces = pieces_of(sizes, [1000.0])
    prices = by_length(pieces)
    rows = fillings(pieces, prices, 0, spare, 100000)
    every = (pieces.every * 1e-6).round().astype(int).tolist()
    expected = set()
    for held in subsets(every, 1000):
        used = sum(every[n] for n in held)
        out = [size for n, size in enumerate(every) if n not in held]
        if used >= prices.most[0] - spare and all(used + size > 1000 for size in out):
            expected.add(tuple(np.bincount(pieces.kinds[list(held)], minlength=len(pieces.sizes)).tolist()))
    assert sorted(map(tuple, rows.tolist())) == sorted(expected)


def test_fillings_give_up_beyond_a_limit():
    pieces = pieces_of(list(range(100, 200)), [3000.0])
    assert fillings(pieces, by_length(pieces), 0, 500, 50) is None


@settings(max_examples=40, deadline=None)
@given(SIZES, st.lists(st.sampled_from([400, 700, 1000]), min_size=1, max_size=3))
def test_bounds_refuse_only_what_cannot_be(sizes, sticks):
    rooms = [400.0, 700.0, 1000.0]
    pieces, counts = pieces_of(sizes, rooms), np.array([sticks.count(int(room)) for room in rooms])
    bound = Columns(pieces.rooms, len(pieces.sizes)).bound(pieces, counts, until())
    if bound.prices.spare(counts) < -1e-6:
        assert not fits(sizes, sticks)


@settings(max_examples=40, deadline=None)
@given(SIZES, st.lists(st.sampled_from([400, 700, 1000]), min_size=1, max_size=3))
def test_hardest_first_is_exact(sizes, sticks):
    rooms = [400.0, 700.0, 1000.0]
    pieces, counts = pieces_of(sizes, rooms), np.array([sticks.count(int(room)) for room in rooms])
    cuts, sure = filled(pieces, counts, until())
    assert sure
    assert (cuts is not None) == fits(sizes, sticks)
    if cuts is not None:
        assert (sum(way for _, way in cuts) >= pieces.needed).all()
        assert all(way @ pieces.sizes <= pieces.rooms[kind] for kind, way in cuts)


@settings(max_examples=40, deadline=None)
@given(SIZES, st.lists(st.sampled_from([400, 700, 1000]), min_size=1, max_size=3))
def test_answers_without_the_quick_packings(sizes, sticks):
    rooms = [400.0, 700.0, 1000.0]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(packing_proof, "quick_packing", lambda *_: None)
        found, sure = Holding(sizes, rooms).ask(np.array([sticks.count(int(room)) for room in rooms]), until())
    assert sure
    assert (found is not None) == fits(sizes, sticks)
    if found is not None:
        assert sorted(piece for _, held in found for piece in held) == list(range(len(sizes)))
        assert all(sum(sizes[piece] for piece in held) <= rooms[kind] for kind, held in found)


def test_cover_says_when_there_is_none():
    one = np.array([[1, 0], [0, 1]])
    assert cover(one, np.array([0, 0]), np.array([1]), np.array([1, 1]), 5) == (None, True)
    chosen, sure = cover(one, np.array([0, 0]), np.array([2]), np.array([1, 1]), 5)
    assert sure
    assert chosen.tolist() == [1, 1]


def test_choices_rise_and_none_is_left_out():
    """Two of 1000 to buy, leftovers of 300 and twice 500, room for 1200."""
    choices = Choices([1000, 300, 500], [None, 1, 2], [False, True, True], 5, 100)
    found = [tuple(counts.tolist()) for counts in choices.rising(1, 1200)]
    expected = [(1, a, b) for a, b in product(range(2), range(3)) if 1000 + 300 * a + 500 * b >= 1200]
    lengths = [1000 * n + 300 * a + 500 * b for n, a, b in found]
    assert sorted(found) == sorted(expected)
    assert lengths == sorted(lengths)
    assert choices.whole
    assert choices.best(2).tolist() == [2, 1, 2]


def test_too_many_leftovers_are_said():
    choices = Choices([3000, *range(300, 330)], [None, *[1] * 30], [False, *[True] * 30], 40, 100)
    assert next(choices.rising(2, 1000)).sum() >= 2
    assert not choices.whole

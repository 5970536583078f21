"""The order of pieces, against every order, and against a reference solver of the same problem."""

import random
from itertools import permutations

import pytest

from score.concert.piece_order import best_piece_order, order_seconds


def _drawn(seed: int, count: int) -> list[list[float]]:
    chance = random.Random(seed)
    return [[chance.uniform(10, 300) for _ in range(count)] for _ in range(count)]


@pytest.mark.parametrize(("first", "last"), [(None, None), (2, None), (None, 0), (3, 1)])
@pytest.mark.parametrize("count", [4, 6])
def test_the_order_is_the_best_of_all(count: int, first: int | None, last: int | None) -> None:
    changes = _drawn(count, count)
    orders = [order for order in permutations(range(count)) if first in (None, order[0]) and last in (None, order[-1])]
    best = best_piece_order(changes, first, last)
    assert best.exact
    assert best.order in orders
    assert best.seconds == pytest.approx(min(order_seconds(order, changes) for order in orders))


def test_twelve_pieces_are_exact_and_more_say_that_they_are_not() -> None:
    changes = _drawn(1, 12)
    best = best_piece_order(changes, last=4)
    assert best.exact
    assert sorted(best.order) == list(range(12))
    assert best.order[-1] == 4
    chance = random.Random(2)
    for _ in range(3000):
        rest = chance.sample([piece for piece in range(12) if piece != 4], 11)
        assert best.seconds <= order_seconds([*rest, 4], changes) + 1e-9
    many = best_piece_order(_drawn(3, 14), first=5)
    assert not many.exact
    assert many.order[0] == 5
    assert many.seconds <= order_seconds([5, *(p for p in range(14) if p != 5)], _drawn(3, 14))


def test_an_order_that_is_as_good_stays() -> None:
    assert best_piece_order([[7.0] * 5 for _ in range(5)]).order == (0, 1, 2, 3, 4)
    assert best_piece_order([[0.0]]).order == (0,)
    assert best_piece_order([]).order == ()

"""Bars and players by the words a musician uses."""

from dataclasses import replace
from fractions import Fraction

import pytest

from score.errors import RequestError
from score.piece import Bar, Meter, Piece, Player
from score.places import bars_name, find_bar, find_bars, find_player

F = Fraction
METER = Meter("4/4", (F(1),) * 4, F(1))
LABELS = ("0", "1", "2", "3", "3a", "4", "17-18")


@pytest.fixture
def piece() -> Piece:
    bars = [Bar(i, label, F(4 * i), F(4), METER) for i, label in enumerate(LABELS)]
    bars[2] = replace(bars[2], rehearsal_mark="C")
    player = Player(2, "Second", "2", (0,), ("Marimba",), (), ())
    return Piece("T", (player,), tuple(bars), tuple(range(len(bars))), ())


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2", 2, 2),
        ("1-3", 1, 3),
        ("1–3", 1, 3),
        ("1 - 3a", 1, 4),
        ("C", 2, 2),
        ("c+2", 4, 4),
        ("C-C+3", 2, 5),
        ("17-18", 6, 6),
    ],
)
def test_found(piece: Piece, text: str, first: int, last: int) -> None:
    assert find_bars(piece, text) == range(first, last + 1)


@pytest.mark.parametrize("text", ["9", "", "C+9", "C+", "3-1", "D", "C+x"])
def test_not_found_says_what_there_is(piece: Piece, text: str) -> None:
    with pytest.raises(RequestError) as caught:
        find_bars(piece, text)
    assert "\n" not in caught.value.line


def test_names(piece: Piece) -> None:
    assert bars_name(piece, range(1, 3)) == "1-2"
    assert bars_name(piece, range(4, 5)) == "3a"
    assert find_bar(piece, "3a") == 4
    assert find_player(piece, 2).name == "Second"
    with pytest.raises(RequestError, match="2 \\(Second\\)"):
        find_player(piece, 1)

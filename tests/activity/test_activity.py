"""The facts of a bar and who carries the tune."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from score.activity.tune import tune_carriers, tune_points
from score.activity.who_moves import activity
from score.piece import Piece

F = Fraction


def test_onsets_tops_and_ends_are_read_off_the_page(make_piece: Callable[..., Piece]) -> None:
    struck, held, empty = activity(make_piece("0.4-|--..|....")).rows[0]
    assert (struck.onsets, struck.tops, struck.ends) == ((0, 2), (60, 64), (1, 4))
    assert (struck.held_until, struck.until, struck.sounds) == (0, 4, True)
    assert (held.onsets, held.held_until, held.until, held.sounds) == ((), 2, 2, True)
    assert (empty.sounds, empty.until, empty.level) == (False, 0, None)


def test_a_lone_grace_stroke_is_an_onset_and_one_before_a_stroke_is_not(
    make_piece: Callable[..., Piece], change: Callable[..., Piece]
) -> None:
    assert activity(make_piece("g...")).rows[0][0].onsets == (0,)
    piece = make_piece("x...", "g...")
    both = change(piece, 1, strokes=(*piece.player(2).strokes, *piece.player(1).strokes))
    assert activity(both).rows[0][0].onsets == (0,)


def test_rolls_are_known_in_every_bar_they_last(make_piece: Callable[..., Piece]) -> None:
    assert [here.rolled for here in activity(make_piece("x...|r---|--..|x---")).rows[0]] == [False, True, True, False]


def test_two_voices_count_as_one_player(make_piece: Callable[..., Piece], change: Callable[..., Piece]) -> None:
    piece = make_piece("0...", "7.x.")
    strokes = sorted((*piece.player(1).strokes, *piece.player(2).strokes), key=lambda stroke: stroke.place)
    here = activity(change(piece, 1, strokes=tuple(strokes))).rows[0][0]
    assert (here.onsets, here.tops) == ((0, 2), (67, 60))


def test_a_dynamic_step_up_is_one(make_piece: Callable[..., Piece], dynamics: Callable[..., Piece]) -> None:
    piece = dynamics(make_piece("x...", "x...", "x..."), "p", "mp", "")
    levels = [row[0].level for row in activity(piece).rows]
    assert levels[1] - levels[0] == 1  # type: ignore[operator]
    assert levels[2] is None


def carriers(piece: Piece) -> list[int | None]:
    return [None if row is None else row + 1 for row in tune_carriers(activity(piece))]


def test_a_stepwise_top_line_over_repeated_pitches_is_the_tune(make_piece: Callable[..., Piece]) -> None:
    assert carriers(make_piece("0000|0000|0000", "4567|7654|4567")) == [2, 2, 2]


def test_a_figure_that_repeats_its_bar_gives_way_to_a_line_that_does_not(make_piece: Callable[..., Piece]) -> None:
    # The figure lies on top and moves more, but says the same every bar; from the second bar on it is known to.
    found = carriers(make_piece("8797|8797|8797|8797", "0123|4567|7654|3210"))
    assert found[1:] == [2, 2, 2]


def test_the_louder_of_two_alike_carries_it(make_piece: Callable[..., Piece], dynamics: Callable[..., Piece]) -> None:
    piece = dynamics(make_piece("4567|7654", "3456|6543"), "p", "f")
    assert carriers(piece) == [2, 2]


def test_it_goes_from_player_to_player_and_nobody_has_it_in_silence(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("4567|7654|....|0...|0...", "0...|0...|....|4567|7654")
    assert carriers(piece) == [1, 1, None, 2, 2]


def test_unpitched_players_can_be_compared(make_piece: Callable[..., Piece], change: Callable[..., Piece]) -> None:

    piece = make_piece("x...|x...", "xxxx|xx.x")
    for number in (1, 2):
        strokes = tuple(stroke._replace(pitches=()) for stroke in piece.player(number).strokes)
        piece = change(piece, number, strokes=strokes)
    points = tune_points(activity(piece))
    assert points[0][1] > points[0][0] > 0


@pytest.mark.parametrize("bars", [1, 2, 7])
def test_one_value_a_bar(make_piece: Callable[..., Piece], bars: int) -> None:
    piece = make_piece("|".join(["0123"] * bars), "|".join(["...."] * bars))
    assert len(tune_carriers(activity(piece))) == bars == activity(piece).bars

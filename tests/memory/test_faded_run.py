"""What the screen shows of a part that fades: what is left, and covers wherever a stroke is hidden."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from score.activity.lanes import Lane, Run, run
from score.beats import Place
from score.memory.fade import Fade, FadeStep
from score.memory.faded_run import faded_run
from score.memory.landmarks import landmarks
from score.piece import Piece, StrokeKind
from score.reading import read_score

SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"


def own(shown: Run, player: int) -> Lane:
    return next(lane for lane in shown.lanes if lane.player == player)


@pytest.mark.parametrize("step", list(FadeStep))
def test_every_hidden_stroke_lies_under_a_cover(step: FadeStep) -> None:
    piece = read_score(SAMPLE).piece
    bars = run(piece, range(len(piece.bars)))
    for player in piece.players:
        stays = landmarks(piece, player, [0, 16, 40])
        faded = faded_run(bars, player.number, stays, Fade(step))
        left = {sign.at for sign in own(faded.run, player.number).signs}
        for sign in own(bars, player.number).signs:
            if sign.kind is not StrokeKind.GRACE and sign.at not in left:
                assert any(start <= sign.at < end for start, end in faded.covers)
        assert all(
            own(faded.run, other.number) == own(bars, other.number) for other in piece.players if other != player
        )
        assert bool(faded.covers) == (step > FadeStep.ALL)
        places = {piece.offset(place) for place in stays}
        assert step != FadeStep.LANDMARKS or places <= left


def test_a_bar_of_rest_is_covered_only_where_nothing_is_left(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0123|....|4567|8---")
    bars = run(piece, range(4))
    for step, covered in ((FadeStep.MARKS, [0, 8, 12]), (FadeStep.BARS, [0, 4, 8, 12])):
        faded = faded_run(bars, 1, (), Fade(step))
        assert [start for start, _ in faded.covers] == covered


def test_the_beat_of_a_landmark_stays_and_the_rest_of_its_bar_is_covered(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("01234567|8---|9---")
    faded = faded_run(run(piece, range(3)), 1, [Place(0, Fraction(1))], Fade(FadeStep.LANDMARKS, whole=frozenset({2})))
    assert [sign.at for sign in own(faded.run, 1).signs] == [1, Fraction(3, 2), 8]
    assert faded.covers == ((0, 1), (2, 4), (4, 8))


def test_landmarks_are_phrases_entries_and_partings(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0123|4567|0123|4569|....|.123|4567|7777|0123|4569|3333")
    places = landmarks(piece, piece.players[0], [7])
    assert Place(0, Fraction(0)) in places  # the first stroke
    assert Place(5, Fraction(1)) in places  # an entry
    assert Place(7, Fraction(0)) in places  # a phrase
    assert {Place(1, Fraction(3)), Place(3, Fraction(3))} <= places  # look-alikes part at their fourth beats

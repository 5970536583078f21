"""The lanes of some bars hold every stroke that sounds in them, however long ago it was struck."""

from fractions import Fraction
from pathlib import Path

from score.activity.lanes import run
from score.piece import Piece
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"


def plain(piece: Piece, bars: range) -> list[list[tuple[Fraction, Fraction]]]:
    """Every stroke of every player looked at, the slow way."""
    start = piece.bars[bars[0]].start
    end = piece.bars[bars[-1]].start + piece.bars[bars[-1]].length
    lanes = []
    for player in piece.players:
        signs = []
        for stroke in player.strokes:
            begin = piece.offset(stroke.place)
            last = begin + stroke.length
            if begin < end and (last > start or begin >= start):
                signs.append((max(begin, start) - start, min(last, end) - max(begin, start)))
        lanes.append(signs)
    return lanes


def test_strokes_held_from_before_are_there_and_no_other() -> None:
    piece = read_score(SAMPLES / "quartet.musicxml").piece
    for first in range(len(piece.bars)):
        bars = range(first, min(first + 3, len(piece.bars)))
        lanes = [[(sign.at, sign.length) for sign in lane.signs] for lane in run(piece, bars).lanes]
        assert [sorted(lane) for lane in lanes] == [sorted(lane) for lane in plain(piece, bars)]

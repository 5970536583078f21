"""Pieces made by chance for recordings: two mallet players, or three with drums, with a repeat and two endings."""

from fractions import Fraction

import numpy as np

from score.piece import Bar, Instrument, Meter, Piece, Player, Segment, Stroke, StrokeKind, Tempo

METER = Meter("4/4", (Fraction(1),) * 4, Fraction(1))
_SCALE = (0, 2, 4, 5, 7, 9, 11)
_RHYTHMS = ("1111", "1h1h1", "hhhhhhhh", "2hhhh", "1hh2", "hh1hh1", "d h1 1".replace(" ", ""), "211")
_LENGTHS = {"1": Fraction(1), "2": Fraction(2), "h": Fraction(1, 2), "d": Fraction(3, 2)}
MARIMBA = Instrument("marimba", "Marimba")
DRUMS = (
    Instrument("snare-drum", "Snare drum", "drum.snare-drum", False),
    Instrument("bass-drum", "Bass drum", "drum.bass-drum", False),
    Instrument("tom-toms", "Tom-toms", "drum.tom-tom", False),
)
REPEAT = (6, 13)
"""First bar of the repeat, and its last under the first ending."""


def random_piece(seed: int, bars: int = 24, drums: bool = False) -> Piece:
    """A piece whose bars 7 to 14 are repeated, the last of them under a first ending, bar 15 under the second."""
    rng = np.random.default_rng(seed)
    make = _drummer if drums else _mallets
    players = tuple(make(rng, number, bars) for number in (1, 2, 3))

    order = (*range(REPEAT[1] + 1), *range(REPEAT[0], REPEAT[1]), *range(REPEAT[1] + 1, bars))
    tempo = float(rng.integers(80, 130))
    return Piece(
        f"Chance {seed}",
        players,
        tuple(_bar(index) for index in range(bars)),
        playing_order=order,
        tempi=(Tempo(0, Fraction(0), tempo, low=tempo, high=tempo),),
        digest=f"chance {seed} {drums}",
    )


def without_repeat(piece: Piece) -> tuple[int, ...]:
    """The order when the repeat is left out: straight into the second ending."""
    return tuple(bar for bar in range(len(piece.bars)) if bar != REPEAT[1])


def _bar(index: int) -> Bar:
    return Bar(
        index,
        str(index + 1),
        Fraction(4 * index),
        length=Fraction(4),
        meter=METER,
        repeat_start=index == REPEAT[0],
        repeat_times=2 if index == REPEAT[1] else 0,
        endings=(1,) if index == REPEAT[1] else (2,) if index == REPEAT[1] + 1 else (),
    )


def _rhythm(rng: np.random.Generator) -> list[tuple[Fraction, Fraction]]:
    at, places = Fraction(0), []
    for sign in _RHYTHMS[int(rng.integers(len(_RHYTHMS)))]:
        places.append((at, _LENGTHS[sign]))
        at += _LENGTHS[sign]
    return [(at, length) for at, length in places if at < 4]


def _mallets(rng: np.random.Generator, number: int, bars: int) -> Player:
    strokes, step = [], int(rng.integers(10, 24))
    for bar in range(bars):
        for at, length in _rhythm(rng):
            step = int(np.clip(step + rng.integers(-3, 4), 0, 34))
            pitch = 48 + 12 * (step // 7) + _SCALE[step % 7]
            strokes.append(_stroke(bar, at, length, (pitch,), 0, ()))
    return Player(number, f"Player {number}", str(number), (number - 1,), ("",), (MARIMBA,), tuple(strokes))


def _drummer(rng: np.random.Generator, number: int, bars: int) -> Player:
    strokes = []
    for bar in range(bars):
        for at, length in _rhythm(rng):
            place = ("A4", "C5", "E5")[int(rng.integers(3))] if number == 2 else "C5"
            strokes.append(_stroke(bar, at, length, (), number - 1 if number < 3 else 0, (place,)))
    return Player(number, f"Player {number}", str(number), (number - 1,), ("",), DRUMS, tuple(strokes))


def _stroke(
    bar: int, at: Fraction, length: Fraction, pitches: tuple[int, ...], instrument: int, places: tuple[str, ...]
) -> Stroke:
    return Stroke(
        bar,
        at,
        length,
        pitches,
        StrokeKind.STROKE,
        instrument,
        (Segment(bar, at, length),),
        places=places,
    )

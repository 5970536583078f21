"""A player's usual time over some bars as one shape that a group can agree on: the nearest that a word says."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from score.time.shapes import CURVES
from score.time.tempo_map import Stretch
from score.time.tries import Try, Word

_WORDS = (Word.FORWARD, Word.BACK, Word.TOP, Word.END)
_TOPS = (Fraction(1, 4), Fraction(3, 8), Fraction(1, 2), Fraction(5, 8), Fraction(3, 4))
"""Where a shape may go furthest, shares of its length."""
_AMOUNTS = range(2, 41, 2)
_LEAST_SHARE = 0.1
"""Of the spread a shape has to account for; less is no shape but chance."""


def learned_shape(tempo: Sequence[tuple[Fraction, float]], start: Fraction, end: Fraction) -> Try | None:
    """The shape nearest to a tempo, None where none is near.

    Args:
        tempo: places (quarters from the beginning of the piece) and the tempo there as a share of the written one.
        start: where the shape is to begin, quarters from the beginning of the piece.
        end: where it is to end.
    """
    points = [(place, math.log(share)) for place, share in tempo if start <= place < end]
    if len(points) < 4:
        return None
    spread = _spread([log for _, log in points])
    best = min(_candidates(start, end), key=lambda trial: _error(trial, points))
    return best if _error(best, points) < (1 - _LEAST_SHARE) * spread else None


def _candidates(start: Fraction, end: Fraction) -> Iterator[Try]:
    for word in _WORDS:
        tops = (None,) if word is Word.END else tuple(start + (end - start) * share for share in _TOPS)
        for top in tops:
            trial = Try(start, end, word, amount=1.0, top=top, curve=CURVES["even"])
            yield from (replace(trial, amount=float(amount)) for amount in _AMOUNTS)


def _error(trial: Try, points: Sequence[tuple[Fraction, float]]) -> float:
    """What is left of the spread; a tempo as a whole is no shape."""
    shape = trial.shape
    assert shape is not None
    curves = shape.curves
    return _spread([log - math.log(_factor(curves, place)) for place, log in points])


def _factor(curves: Sequence[Stretch], place: Fraction) -> float:
    """A shape's factor of the tempo at a place."""
    for curve in curves:
        if curve.start <= place < curve.end:
            return curve.speed(float(place - curve.start))
    return 1.0


def _spread(values: Sequence[float]) -> float:
    mean = sum(values) / len(values)
    return sum((value - mean) ** 2 for value in values)

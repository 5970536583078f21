"""The tempo a pass really went in, place by place, from its own strokes."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from score.piece import Piece
from score.takes.judged_pass import JudgedPass

_LEAST = 6
"""Strokes that a point of the curve is drawn through."""
_SECONDS = 3.0
"""Seconds to each side of a place whose strokes say its tempo: shorter, and chance would look like rushing."""


class TempoPoint(NamedTuple):
    """The tempo at one place.

    Attributes:
        bar: index of the bar.
        seconds: into the recording, as asked for.
        tempo: quarters a minute as played.
        asked: quarters a minute as the machine went.
    """

    bar: int
    seconds: float
    tempo: float
    asked: float


def pass_tempo(piece: Piece, judged: JudgedPass) -> tuple[TempoPoint, ...]:
    """The tempo at each stroke with enough others around it: a straight line through what lies within three seconds.

    Args:
        piece: the piece.
        judged: the pass.
    """
    played = [
        (stroke.expected, stroke.seconds, float(piece.bars[stroke.bar].start + stroke.at), stroke.bar)
        for stroke in judged.strokes
        if stroke.state.is_timed and stroke.expected is not None and stroke.seconds is not None
    ]
    points = []
    first = last = 0
    for expected, _, _, bar in played:
        while played[first][0] < expected - _SECONDS:
            first += 1
        while last < len(played) and played[last][0] <= expected + _SECONDS:
            last += 1
        near = played[first:last]
        # A jump back in the score would be no tempo.
        if len(near) < _LEAST or any(b[2] < a[2] for a, b in pairwise(near)):
            continue
        quarters = [each[2] for each in near]
        tempo, asked = _slope([each[1] for each in near], quarters), _slope([each[0] for each in near], quarters)
        if tempo > 0 and asked > 0:
            points.append(TempoPoint(bar, expected, 60 * tempo, asked=60 * asked))
    return tuple(points)


def _slope(seconds: Sequence[float], quarters: Sequence[float]) -> float:
    """Quarters a second by least squares of the moments over the places; 0 where all stand at one place."""
    mean_s, mean_q = sum(seconds) / len(seconds), sum(quarters) / len(quarters)
    spread = sum((quarter - mean_q) ** 2 for quarter in quarters)
    both = sum((s - mean_s) * (q - mean_q) for s, q in zip(seconds, quarters, strict=True))
    return spread / both if both > 0 else 0.0

"""What one player strikes together."""

from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby

from score.piece import Player, Stroke, StrokeKind


def moments_of(player: Player) -> list[list[Stroke]]:
    """A player's strokes by moment, grace strokes left out."""
    strokes = (s for s in player.strokes if s.kind is not StrokeKind.GRACE)
    return [list(together) for _, together in groupby(strokes, key=lambda stroke: (stroke.bar, stroke.at))]


def needs_four(strokes: Iterable[Stroke]) -> bool:
    """Whether more than two notes with pitch are struck at one moment, in one voice or in several."""
    struck: dict[tuple[int, Fraction], set[int]] = {}
    for stroke in strokes:
        if stroke.kind is not StrokeKind.GRACE:
            struck.setdefault((stroke.bar, stroke.at), set()).update(stroke.pitches)
    return any(len(pitches) > 2 for pitches in struck.values())

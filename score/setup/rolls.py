"""Rolls that one hand would have to make alone, because the other hand strikes elsewhere meanwhile."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator

from score.piece import Piece, Player, StrokeKind
from score.setup.finding import Finding, Kind, Weight


def roll_findings(piece: Piece, player: Player) -> Iterator[Finding]:
    """Rolls during which the same player begins other strokes.

    Rolls that begin together are one roll of both hands; a roll that follows at once takes the place of the first.
    """
    strokes = [s for s in player.strokes if s.kind is StrokeKind.STROKE]
    moments = [piece.offset(s.place) for s in strokes]
    for roll in player.strokes:
        if roll.kind is not StrokeKind.ROLL:
            continue
        start = piece.offset(roll.place)
        first, last = bisect_right(moments, start), bisect_left(moments, start + roll.length)
        if last > first:
            other = strokes[first]
            text = f"a roll goes on while {last - first} other strokes are made"
            yield Finding(
                Kind.ROLL, Weight.TIGHT, player.number, other.bar, other.at, last - first, 0, "strokes", text,
                "roll with two mallets in one hand, or let another player take the roll",
            )  # fmt: skip

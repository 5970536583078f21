"""What the feet and the motor of a vibraphone do: the pedal's extent, the motor's words."""

import re
from bisect import bisect_right
from fractions import Fraction

from score.piece import MarkKind, Piece, Player, SpanKind, Stroke

_ON = re.compile(r"\b(motor on|with motor|con motore|mit motor|avec moteur|slow motor|fast motor|medium motor)\b", re.I)
_OFF = re.compile(r"\b(motor off|no motor|without motor|senza motore|ohne motor|sans moteur)\b", re.I)


class Feet:
    """One player's pedals and motor, in written order.

    Args:
        piece: the piece.
        player: whose.
    """

    def __init__(self, piece: Piece, player: Player) -> None:
        self.piece = piece
        self._pedals = sorted(
            (piece.offset(span.start), piece.offset(span.end)) for span in player.spans if span.kind is SpanKind.PEDAL
        )
        words = [(piece.offset_of(m.bar, m.at), m.text) for m in player.marks if m.kind is MarkKind.WORDS]
        self._motor = sorted(
            (at, bool(_ON.search(text))) for at, text in words if _ON.search(text) or _OFF.search(text)
        )

    def until(self, stroke: Stroke) -> Fraction:
        """Quarters from a stroke to where the pedal that holds it is lifted; 0 without one."""
        at = self.piece.offset(stroke.place)
        index = bisect_right([start for start, _ in self._pedals], at) - 1
        return max(Fraction(0), self._pedals[index][1] - at) if index >= 0 else Fraction(0)

    def motor_at(self, stroke: Stroke) -> bool:
        """Whether the motor runs at a stroke; it stands still until a word starts it."""
        index = bisect_right([at for at, _ in self._motor], self.piece.offset(stroke.place)) - 1
        return index >= 0 and self._motor[index][1]

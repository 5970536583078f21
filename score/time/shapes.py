"""Shapes of tempo: a phrase leant forward, held back, stretched at its top or at its end.

A shape multiplies the tempo over a run of written quarters by a factor that is 1 where the shape begins and,
unless it stretches the end, 1 where it ends. Between its corners the factor follows the same closed form
as a gradual change (`score.time.tempo_map`), so seconds stay an exact integral; shapes over one another multiply.

The curve is the form's exponent. 2 moves the tempo evenly in time, as a body thrown: a phrase leant forward with it is
the arc of Todd (J. Acoust. Soc. Am. 91, 1992), faster to the middle and slower from there, each at one rate. 3 holds
the tempo longer and lets go late, as final ritardandi do (Friberg & Sundberg, J. Acoust. Soc. Am. 105, 1999), and 1
moves it evenly from beat to beat.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from score.time.tempo_map import Stretch

LARGEST_PERCENT = 60.0
"""A shape beyond this is no shape but another tempo."""

CURVES: Mapping[str, float] = {"straight": 1.0, "even": 2.0, "late": 3.0}
"""Curves by the words a player meets, and their exponents."""
STEEPEST = 5.0
"""The largest exponent of a curve."""


class ShapeKind(StrEnum):
    """What is done to the phrase."""

    FORWARD = "forward"
    """Leaning forward: faster towards its middle, and back."""
    BACK = "back"
    """Held back: slower towards its middle, and back."""
    TOP = "top"
    """The top is stretched: slower only around one place."""
    END = "end"
    """The end is stretched: slower and slower to the last moment; the next bar is in tempo again."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape over a run of quarters in written order.

    Attributes:
        kind: what is done.
        start, end: quarters from the beginning of the piece.
        percent: how far the tempo moves at the shape's corner, in percent of the tempo in force.
        top: quarters from the beginning of the piece where the corner lies; None for the usual place
            (the middle; three quarters through for TOP).
        curve: exponent q of the form between the corners, 1 to `STEEPEST`.
        by: number of the player who leads it, or None.
    """

    kind: ShapeKind
    start: Fraction
    end: Fraction
    percent: float
    top: Fraction | None = None
    curve: float = 2.0
    by: int | None = None

    @property
    def curves(self) -> tuple[Stretch, ...]:
        """The factor from corner to corner; it is 1 before the first and after the last."""
        return tuple(
            Stretch(start, end, low, v1=high, q=self.curve)
            for (start, low), (end, high) in pairwise(self.corners)
            if start < end
        )

    @property
    def corners(self) -> tuple[tuple[Fraction, float], ...]:
        """(quarters, factor) at the shape's corners, in order; between them the factor is monotone."""
        length = self.end - self.start
        share = self.percent / 100
        if self.kind is ShapeKind.END:
            return (self.start, 1.0), (self.end, 1 - share)
        if self.kind is ShapeKind.TOP:
            top = self._top(self.start + length * 3 / 4)
            around = min(length / 4, top - self.start, self.end - top)
            return (top - around, 1.0), (top, 1 - share), (top + around, 1.0)
        corner = 1 + share if self.kind is ShapeKind.FORWARD else 1 - share
        return (self.start, 1.0), (self._top(self.start + length / 2), corner), (self.end, 1.0)

    def _top(self, usual: Fraction) -> Fraction:
        top = usual if self.top is None else self.top
        # A corner at the very edge would make the tempo jump instead of bend.
        edge = (self.end - self.start) / 16
        return min(max(top, self.start + edge), self.end - edge)

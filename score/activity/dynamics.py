"""How hard each stroke is struck: printed dynamics, hairpins and accents as one number from 0 to 1."""

from bisect import bisect_right
from fractions import Fraction
from math import lcm

from score.beats import in_ticks
from score.piece import Piece, Player, SpanKind, Stroke

# Common practice, no source: eight steps of loudness, even to the ear, with mf a little over the middle.
LEVELS = {
    "pppp": 0.10,
    "ppp": 0.16,
    "pp": 0.26,
    "p": 0.38,
    "mp": 0.50,
    "mf": 0.62,
    "f": 0.75,
    "ff": 0.88,
    "fff": 0.96,
    "ffff": 1.00,
}
# A mark for one stroke only, and the level that goes on after it.
SUDDEN = {
    "sf": 0.85,
    "sfz": 0.88,
    "sffz": 0.95,
    "sfp": 0.85,
    "sfpp": 0.85,
    "fp": 0.78,
    "fz": 0.85,
    "rf": 0.8,
    "rfz": 0.8,
}
AFTER_SUDDEN = {"sfp": "p", "sfpp": "pp", "fp": "p"}
USUAL = LEVELS["mf"]
ACCENTS = {"accent": 0.12, "strong-accent": 0.20, "staccatissimo": 0.05, "tenuto": 0.03}
HAIRPIN_STEP = 0.13
"""How far a hairpin goes when nothing printed says where it ends: one dynamic step."""


class WrittenDynamics:
    """The level of one player's strokes, 0 to 1, at every place.

    Args:
        piece: the piece.
        player: whose dynamics.
    """

    def __init__(self, piece: Piece, player: Player) -> None:
        self.piece, self.player = piece, player
        self._marks = _marks(piece, player)
        offsets = [offset for offset, _ in self._marks]
        spans = [piece.offset(place) for span in player.spans for place in (span.start, span.end)]
        # Looked up among whole ticks, of which every mark and hairpin begins on one.
        self._quarter = lcm(*(offset.denominator for offset in (*offsets, *spans)))
        self._offsets = [in_ticks(offset, self._quarter) for offset in offsets]
        self._hairpins = self._all_hairpins()
        self._hairpin_starts = [in_ticks(start, self._quarter) for start, _, _, _ in self._hairpins]
        self._sudden = {
            piece.offset_of(dynamic.bar, dynamic.at): SUDDEN[dynamic.mark]
            for dynamic in player.dynamics
            if dynamic.mark in SUDDEN
        }

    def of(self, stroke: Stroke) -> float:
        """Velocity of a stroke, 0 to 1."""
        offset = self.piece.offset(stroke.place)
        level = self._sudden.get(offset, self.at(offset))
        level += max((ACCENTS.get(name, 0.0) for name in stroke.articulations), default=0.0)
        return min(1.0, max(0.05, level))

    def at(self, offset: Fraction) -> float:
        """Level at an offset in written order, quarters, without accents."""
        index = bisect_right(self._hairpin_starts, in_ticks(offset, self._quarter)) - 1
        if index >= 0:
            start, end, low, high = self._hairpins[index]
            if offset < end:
                return low + (high - low) * float((offset - start) / (end - start))
            if not self._marked_between(start, offset):
                return high
        return self._printed(offset)

    def _printed(self, offset: Fraction) -> float:
        index = self._marks_until(offset) - 1
        return self._marks[index][1] if index >= 0 else USUAL

    def _marked_between(self, start: Fraction, end: Fraction) -> bool:
        """Whether a dynamic is printed after one offset, up to and including another."""
        return self._marks_until(end) > self._marks_until(start)

    def _marks_until(self, offset: Fraction) -> int:
        return bisect_right(self._offsets, in_ticks(offset, self._quarter))

    def _all_hairpins(self) -> list[tuple[Fraction, Fraction, float, float]]:
        hairpins: list[tuple[Fraction, Fraction, float, float]] = []
        for span in self.player.spans:
            if span.kind not in (SpanKind.CRESCENDO, SpanKind.DIMINUENDO):
                continue
            start, end = self.piece.offset(span.start), self.piece.offset(span.end)
            if end <= start or (hairpins and start < hairpins[-1][1]):
                continue
            low = (
                hairpins[-1][3]
                if hairpins and not self._marked_between(hairpins[-1][0], start)
                else self._printed(start)
            )
            hairpins.append((start, end, low, self._goal(span.kind, end, low)))
        return hairpins

    def _goal(self, kind: SpanKind, end: Fraction, low: float) -> float:
        """The level printed at the end where it lies in the hairpin's direction, else one step on."""
        then = next((level for at, level in self._marks if end <= at <= end + 1), low)
        if kind is SpanKind.CRESCENDO:
            return then if then > low else min(1.0, low + HAIRPIN_STEP)
        return then if then < low else max(0.05, low - HAIRPIN_STEP)


def _marks(piece: Piece, player: Player) -> list[tuple[Fraction, float]]:
    marks: dict[Fraction, float] = {}
    for dynamic in player.dynamics:
        mark = AFTER_SUDDEN.get(dynamic.mark, dynamic.mark)
        if mark in LEVELS:
            marks[piece.offset_of(dynamic.bar, dynamic.at)] = LEVELS[mark]
    return sorted(marks.items())

"""With whom a player is together: strokes shared with each other player, pooled over passes.

The machine's players are exactly in time, so what differs is the player's own: how steady and how early or late they
are where they strike together with another, against the rest of their strokes. Partners often strike together
themselves, so only the one with whom the player leans most is named; and it is bound up with where in the bar that is.
"""

from collections.abc import Sequence
from fractions import Fraction
from statistics import fmean
from typing import NamedTuple

from score.piece import Piece, StrokeKind
from score.strokes.timing_figures import Figure, difference, mean_figure, spread
from score.takes.judged_pass import JudgedPass
from score.takes.place_findings import HEARD_MS

LEAST_SHARED = 20
"""Shared strokes below which nothing is said: two groups of this size differ visibly from 18 ms on."""


class PartnerFinding(NamedTuple):
    """How a player is together with another one.

    Attributes:
        number: of the other player.
        spread_ms: standard deviation of the player's offsets on shared strokes, each against the mean of its pass.
        later: how much later than their other strokes those are, milliseconds; None where there are too few others.
        strokes: how many are shared.
        is_most: nobody else is one the player leans more with.
    """

    number: int
    spread_ms: float
    later: Figure | None
    strokes: int
    is_most: bool = True

    @property
    def words(self) -> str:
        """What to know: "you rush", "you drag", or nothing that is sure."""
        if not self.is_most or self.later is None or abs(self.later.mean) <= max(HEARD_MS, self.later.half):
            return ""
        return "you rush" if self.later.mean < 0 else "you drag"


def partner_findings(piece: Piece, player: int, passes: Sequence[JudgedPass]) -> tuple[PartnerFinding, ...]:
    """Everybody with whom enough strokes are shared, in the order of their numbers.

    Args:
        piece: the piece.
        player: number of the player who was judged.
        passes: in the order they were played.
    """
    offsets = [(place, offset) for judgement in passes for place, offset in _centred(judgement)]
    findings = []
    for other in piece.players:
        places = {(stroke.bar, stroke.at) for stroke in other.strokes if stroke.kind is not StrokeKind.GRACE}
        shared = [offset for place, offset in offsets if place in places]
        alone = [offset for place, offset in offsets if place not in places]
        if other.number != player and len(shared) >= LEAST_SHARED:
            later = difference(mean_figure(alone), mean_figure(shared)) if len(alone) >= LEAST_SHARED else None
            findings.append(PartnerFinding(other.number, spread(shared), later, strokes=len(shared)))
    most = max((_lean(finding) for finding in findings), default=0.0)
    return tuple(finding._replace(is_most=_lean(finding) == most) for finding in findings)


def _lean(finding: PartnerFinding) -> float:
    """How surely a player leans with a partner: the difference over its half-width."""
    if finding.later is None:
        return 0.0
    return abs(finding.later.mean) / finding.later.half if finding.later.half > 0 else float("inf")


def _centred(judgement: JudgedPass) -> list[tuple[tuple[int, Fraction], float]]:
    """Places and offsets of a pass, the mean of all taken off: what is late as a whole says nothing of partners."""
    timed = [
        ((stroke.bar, stroke.at), stroke.timed_ms)
        for stroke in judgement.strokes
        if judgement.judged and stroke.timed_ms is not None
    ]
    if not timed:
        return []
    mean = fmean(offset for _, offset in timed)
    return [(place, offset - mean) for place, offset in timed]

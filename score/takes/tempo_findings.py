"""The tempo at the beginning and at the end of a pass, and whether it went anywhere in between."""

from collections.abc import Sequence
from typing import NamedTuple

from score.strokes.timing_figures import Figure, difference, drift, slope_figure
from score.takes.judged_pass import JudgedPass
from score.takes.place_findings import HEARD_MS

_LEAST = 12
_WORST_SHARE = 0.04
"""Half an interval over this share of the tempo says nothing worth saying."""


class TempoFigure(NamedTuple):
    """A tempo against the one that was asked for.

    Attributes:
        share: of the tempo asked for: 1.01 is one percent faster.
        half: half the width of its 95 % interval.
    """

    share: float
    half: float


class TempoFinding(NamedTuple):
    """How a pass went in time.

    Attributes:
        start: tempo over the first third, None where it cannot be told.
        end: over the last third.
        moved: how much later the last third is than the first, milliseconds; negative where the player rushed.
        first: mean of the first third.
        last: mean of the last third.
    """

    start: TempoFigure | None
    end: TempoFigure | None
    moved: Figure
    first: Figure
    last: Figure

    @property
    def words(self) -> str:
        """Where the tempo went: "rushing" or "dragging", "" where that is not sure or not to be heard."""
        if abs(self.moved.mean) <= max(HEARD_MS, self.moved.half):
            return ""
        return "rushing" if self.moved.mean < 0 else "dragging"


def tempo_finding(judgement: JudgedPass) -> TempoFinding | None:
    """The finding; None under 30 strokes."""
    timed = [
        (stroke.expected, stroke.timed_ms)
        for stroke in judgement.strokes
        if stroke.timed_ms is not None and stroke.expected is not None
    ]
    thirds = drift([offset for _, offset in timed])
    if thirds is None:
        return None
    third = len(timed) // 3
    return TempoFinding(
        _tempo(timed[:third]), _tempo(timed[-third:]), difference(*thirds), first=thirds[0], last=thirds[1]
    )


def _tempo(timed: Sequence[tuple[float, float]]) -> TempoFigure | None:
    if len(timed) < _LEAST or timed[-1][0] - timed[0][0] < 1.0:
        return None
    slope = slope_figure([second for second, _ in timed], [offset for _, offset in timed])
    # So many milliseconds later each second: the tempo is so much slower.
    share, half = 1 / (1 + slope.mean / 1000), slope.half / 1000
    return TempoFigure(share, half) if half <= _WORST_SHARE else None

"""Left hand against right, where the score prints stickings."""

from collections.abc import Sequence
from typing import NamedTuple

from score.strokes.timing_figures import Figure, difference, mean_figure
from score.takes.judged_pass import JudgedPass

LEAST_EACH = 12
_LEFT, _RIGHT = frozenset({"L", "1", "2"}), frozenset({"R", "3", "4"})
"""Mallets are counted from the left: 1 and 2 in the left hand, 3 and 4 in the right."""


class HandFinding(NamedTuple):
    """How the hands stand to each other.

    Attributes:
        later: how much later the left hand is than the right, milliseconds.
        left: strokes of the left hand.
        right: strokes of the right hand.
    """

    later: Figure
    left: int
    right: int

    @property
    def is_sure(self) -> bool:
        """Whether the difference leaves nothing."""
        return abs(self.later.mean) > self.later.half


def hand_finding(passes: Sequence[JudgedPass]) -> HandFinding | None:
    """The hands' difference over passes; None with under 12 strokes of each that have a printed hand.

    Every stroke counts against the mean of its own pass.
    """
    left: list[float] = []
    right: list[float] = []
    for judgement in passes:
        timed = [(s.hand, s.timed_ms) for s in judgement.strokes if s.timed_ms is not None]
        mean = sum(offset for _, offset in timed) / len(timed) if timed else 0.0
        left += [offset - mean for hand, offset in timed if hand and set(hand) <= _LEFT]
        right += [offset - mean for hand, offset in timed if hand and set(hand) <= _RIGHT]
    if min(len(left), len(right)) < LEAST_EACH:
        return None
    return HandFinding(difference(mean_figure(right), mean_figure(left)), len(left), len(right))

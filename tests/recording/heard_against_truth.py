"""What was heard against what was really played."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.heard_bars import HeardRecording
from tests.recording.performances import Performance

LOST = 3.0
"""Seconds beyond which a moment counts as lost."""
WRONG = 0.3
"""Seconds beyond which a bar is wrong."""


class Measured(NamedTuple):
    """Moments as they were and as they were said to be, in seconds; those that were lost are left out.

    Attributes:
        true, estimated: shape (moments,).
        lost: share of all moments.
    """

    true: NDArray[np.float64]
    estimated: NDArray[np.float64]
    lost: float

    @property
    def errors(self) -> NDArray[np.float64]:
        """Seconds by which each is late."""
        return self.estimated - self.true

    @property
    def words(self) -> str:
        """The figures in one line."""
        off = np.abs(self.errors)
        if not len(off):
            return "every moment lost"
        return (
            f"median {1000 * np.median(off):.1f} ms, over 50 ms {100 * np.mean(off > 0.05):.1f} %, "
            f"over 500 ms {100 * np.mean(off > 0.5):.2f} %, lost {100 * self.lost:.1f} %"
        )


def measured(heard: HeardRecording, played: Performance, begins: float) -> Measured:
    """Each moment that was played beside the nearest time it is said to have.

    Args:
        heard: what was heard.
        played: what was played.
        begins: second of the recording at which the performance begins.
    """
    said: dict[tuple[int, Fraction], list[float]] = {}
    for onset in heard.onsets:
        said.setdefault((onset.bar, onset.at), []).append(onset.seconds - begins)
    pairs = [
        (moment.seconds, _nearest(moment.seconds, said.get((moment.bar, moment.at), []))) for moment in played.moments
    ]
    near = [pair for pair in pairs if abs(pair[1] - pair[0]) < LOST]
    true, estimated = np.array(near).reshape(-1, 2).T
    return Measured(true, estimated, 1 - len(near) / len(pairs))


def _nearest(second: float, said: list[float]) -> float:
    return min(said, key=lambda each: abs(each - second), default=1e9)


def wrong_bars(heard: HeardRecording, played: Performance, begins: float) -> list[bool]:
    """For each bar that is said to have been played whether it did not begin there, within `WRONG`."""
    starts: dict[int, list[float]] = {}
    for passed in played.bars:
        starts.setdefault(passed.bar, []).append(passed.start + begins)
    return [min(abs(start - bar.start) for start in starts.get(bar.bar, [1e9])) > WRONG for bar in heard.bars]


def caught(sure: Sequence[float], wrong: Sequence[bool], share: float) -> str:
    """How many of the wrong bars are among the least sure ones, a share of all: "8 of 11"."""
    least = np.argsort(sure, kind="stable")[: round(len(sure) * share)]
    return f"{sum(wrong[index] for index in least)} of {sum(wrong)}"

"""How well the pitches in a recording are those that are written, for each moment at which the music might begin."""

from bisect import bisect_left
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from score.strokes.onsets import Onset
from score.strokes.spectral_rise import RATE, Samples
from score.strokes.struck_pitch import HIGHEST_EVIDENCE, LOWEST_EVIDENCE, pitch_evidence
from score.takes.expected_strokes import ExpectedStroke

_NEAR = 0.04
"""Seconds a stroke may stand from where it would belong."""
_LEAST, _MOST = 6, 24
"""Strokes under which nothing is said, and about how many are listened to."""


class WrittenPitches:
    """Asked for one beginning after the other; every stroke is listened to once.

    Args:
        strokes: what is expected.
        heard: clear onsets, in order.
        samples: the recording.
    """

    def __init__(self, strokes: Sequence[ExpectedStroke], heard: Sequence[Onset], samples: Samples) -> None:
        self._strokes = [(stroke.seconds, rows) for stroke in strokes if (rows := _rows(stroke))]
        self._moments = [onset.seconds for onset in heard]
        self._samples = samples
        self._evidence: dict[int, NDArray[np.float64]] = {}

    def __call__(self, start: float) -> float:
        """The mean evidence of written pitches at strokes heard in their place, 0 to 1; 0 where there are too few.

        Args:
            start: second of the recording in which the music begins.
        """
        pairs = [(self._nearest(start + seconds), rows) for seconds, rows in self._strokes]
        placed = [(index, rows) for index, rows in pairs if index is not None]
        if len(placed) < _LEAST:
            return 0.0
        # Some from everywhere tell as much as all.
        some = placed[:: max(1, len(placed) // _MOST)]
        return float(np.mean([self._of(index)[rows].mean() for index, rows in some]))

    def _nearest(self, second: float) -> int | None:
        place = bisect_left(self._moments, second)
        near = [index for index in (place - 1, place) if 0 <= index < len(self._moments)]
        best = min(near, key=lambda index: abs(self._moments[index] - second), default=None)
        return best if best is not None and abs(self._moments[best] - second) <= _NEAR else None

    def _of(self, index: int) -> NDArray[np.float64]:
        if index not in self._evidence:
            last = index + 1 == len(self._moments)
            until = len(self._samples) / RATE if last else self._moments[index + 1]
            self._evidence[index] = pitch_evidence(self._samples, self._moments[index], until)
        return self._evidence[index]


def _rows(stroke: ExpectedStroke) -> list[int]:
    return [pitch - LOWEST_EVIDENCE for pitch in stroke.pitches if LOWEST_EVIDENCE <= pitch <= HIGHEST_EVIDENCE]

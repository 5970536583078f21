"""What frames of a recording cost at frames of the score, a block of frames at a time."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.semitones import Array

BLOCK = 64
"""Frames of which costs are found at once."""


class ScoreFrames(NamedTuple):
    """The written bars as frames, once for each tempo, one tempo after the other.

    Attributes:
        rows: shape (score frames, features).
        struck: shape (score frames,), 1 where attacks count.
        places: shape (score frames,): seconds at the score's own tempo.
        starts: first frame of each bar, shape (tempi, bars).
        edges: first frame of each tempo, and the number of all frames.
        arcs: (from bar, to bar).
    """

    rows: Array
    struck: Array
    places: Array
    starts: NDArray[np.int64]
    edges: NDArray[np.int64]
    arcs: Sequence[tuple[int, int]]


class FrameCosts:
    """Squared distance of sound frames from score frames, a block at a time.

    Args:
        sound: shape (frames, features), chroma in the first twelve columns.
        score: the score's frames.
        quiet: frames in which next to nothing sounds.
        idle: what each frame costs as nothing of the score.
    """

    def __init__(self, sound: Array, score: ScoreFrames, quiet: NDArray[np.bool_], idle: Array) -> None:
        self.sound, self.score, self.quiet, self.idle = sound, score, quiet, idle
        mine = (0.5 * (score.rows**2).sum(axis=1) + 0.035 * (1 - score.struck)).astype(np.float32)
        # What each frame of either side costs by itself goes into the same product.
        self._columns = np.ascontiguousarray(np.vstack([-score.rows.T, np.ones_like(mine), score.struck, mine]))

    def block(self, start: int) -> Array:
        """Costs of `BLOCK` frames from one on; shape (frames, score frames)."""
        rows = self.sound[start : start + BLOCK]
        held, struck = (0.5 * (part**2).sum(axis=1)[:, None] for part in (rows[:, :12], rows[:, 12:]))
        cost = np.concatenate([rows, held, struck, np.ones_like(held)], axis=1) @ self._columns
        hushed = self.quiet[start : start + BLOCK]
        silent = self.idle[start : start + BLOCK][hushed] + np.float32(0.02)
        cost[hushed] = np.maximum(cost[hushed], silent[:, None])
        return np.asarray(cost, np.float32)

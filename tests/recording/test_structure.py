"""The way through the written bars is the same however little of it is kept on the way there."""

import numpy as np
import pytest
from numpy.typing import NDArray

from score.recording import structure
from score.recording.frame_costs import BLOCK, FrameCosts, ScoreFrames
from score.recording.structure import NOTHING, StructureCosts, walk_back, walk_forward
from tests.longer import longer

BARS, FRAMES = 6, 24
"""Bars at each of two tempi, and frames of the first."""


def _written(rng: np.random.Generator) -> ScoreFrames:
    """Bars of chance at two tempi, with one repeat."""
    slow = rng.random((FRAMES * 2, 20)).astype(np.float32)
    rows = np.concatenate([slow, slow[::2]])
    starts = np.array([np.arange(BARS) * FRAMES * 2 // BARS, FRAMES * 2 + np.arange(BARS) * FRAMES // BARS])
    places = np.concatenate([np.arange(FRAMES * 2) * 0.05, np.arange(FRAMES) * 0.1]).astype(np.float32)
    return ScoreFrames(
        rows,
        np.ones(len(rows), np.float32),
        places,
        starts=starts,
        edges=np.array([0, FRAMES * 2, FRAMES * 3]),
        arcs=((BARS - 1, 0),),
    )


def _frames(blocks: float) -> FrameCosts:
    """The bars played from the third on, talk, then all of them and some again, with noise."""
    rng = np.random.default_rng(3)
    score = _written(rng)
    talk, fast = rng.random((30, 20)), score.rows[48:72]
    played = np.concatenate([score.rows[16:48], talk, fast, fast, fast])
    heard = np.tile(played, (12, 1))[: int(blocks * BLOCK)]
    heard = (heard + rng.normal(0, 0.1, heard.shape)).astype(np.float32)
    return FrameCosts(heard, score, np.zeros(len(heard), bool), np.full(len(heard), 0.3, np.float32))


def _way(frames: FrameCosts) -> NDArray[np.int64]:
    costs = StructureCosts()
    return walk_back(frames, costs, walk_forward(frames, costs, lambda share: None))


@pytest.mark.parametrize("blocks", [0.5, 1, 7, longer(20.3)])
@pytest.mark.parametrize("again", [0, 30_000_000])
def test_what_is_walked_again_goes_the_same_way(blocks: float, again: int, monkeypatch: pytest.MonkeyPatch) -> None:
    frames = _frames(blocks)
    whole = _way(frames)
    assert len(whole) == len(frames.sound)
    assert blocks < 2 or {NOTHING, *range(50, 72)} <= set(whole.tolist())
    monkeypatch.setattr(structure, "_MOST_STEPS", 0)
    monkeypatch.setattr(structure, "_MOST_AGAIN", again)
    assert np.array_equal(_way(frames), whole)

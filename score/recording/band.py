"""The fine alignment of a run: dynamic time warping in a narrow band around where it is expected.

Source of the method: Sakoe & Chiba, IEEE Trans. Acoust. 26 (1978); the band is stored as distances from its middle.
"""

import numpy as np
from numpy.typing import NDArray

from score.recording.semitones import Array

_INSIDE_ROLLS = np.float32(0.1)
_FAR = np.float32(1e9)
_ASIDE = 0.01


def warp(sound: Array, score: Array, struck: Array, reach: int, step: float) -> NDArray[np.int64]:
    """Where in the score each frame of sound belongs.

    Args:
        sound: shape (frames, features), chroma in the first twelve columns.
        score: shape (score frames, features), about as many, nearly aligned.
        struck: shape (score frames,), 1 where attacks count.
        reach: frames by which they may be apart.
        step: cost of moving one frame nearer or further.

    Returns:
        For each frame of sound its score frame; it may lie a little outside.
    """
    costs = band_costs(sound, score, struck, reach)
    back = np.zeros(costs.shape, np.int8)
    total = costs[0] + np.float32(_ASIDE) * np.abs(np.arange(-reach, reach + 1, dtype=np.float32))
    choices = np.full((3, len(total)), _FAR)
    for frame in range(1, len(sound)):
        choices[0] = total
        np.add(total[1:], np.float32(step), out=choices[1, :-1])
        np.add(total[:-1], np.float32(step), out=choices[2, 1:])
        back[frame] = choices.argmin(axis=0)
        total = choices.min(axis=0) + costs[frame]
    return np.arange(len(sound)) + _way_back(back, int(total.argmin())) - reach


def band_costs(sound: Array, score: Array, struck: Array, reach: int) -> Array:
    """What each frame of sound costs at each place of the band; shape (frames, 2 reach + 1), as in `warp`."""
    frames = len(sound)
    after = max(0, frames - len(score)) + reach + 1
    padded = np.pad(score, ((reach, after), (0, 0)))
    masked = np.pad(struck, (reach, after), constant_values=1)
    held, hit = 0.5 * (sound[:, :12] ** 2).sum(axis=1), 0.5 * (sound[:, 12:] ** 2).sum(axis=1)
    own = 0.5 * (padded**2).sum(axis=1) + _INSIDE_ROLLS * (1 - masked)
    costs = np.empty((frames, 2 * reach + 1), np.float32)
    for place in range(2 * reach + 1):
        there = slice(place, place + frames)
        meets = np.einsum("td,td->t", sound, padded[there])
        costs[:, place] = held + hit * masked[there] + own[there] - meets
    return costs


def _way_back(back: NDArray[np.int8], place: int) -> NDArray[np.int64]:
    places = np.empty(len(back), np.int64)
    widest = back.shape[1] - 1
    for frame in range(len(back) - 1, -1, -1):
        places[frame] = place
        place = min(max(place + (0, 1, -1)[back[frame, place]], 0), widest)
    return places

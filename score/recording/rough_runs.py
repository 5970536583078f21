"""From the sound of a recording to runs of bars, roughly placed."""

from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.bar_arcs import bar_arcs
from score.recording.fine import HeardWay, Weights
from score.recording.score_features import score_features
from score.recording.score_moments import WrittenMusic
from score.recording.semitones import Array
from score.recording.sound_features import FRAME_RATE, SoundFeatures, unit
from score.recording.structure import NOTHING, FrameCosts, ScoreFrames, StructureCosts, walk_back, walk_forward

TOGETHER = 5
"""Frames of fifty a second taken together: ten a second."""
RATE = FRAME_RATE / TOGETHER
TEMPI = (1.0, 0.75, 1.3)
"""Times the score's own tempo at which the recording is tried."""
_QUIET_DB = 40.0
_SHORTEST_SECONDS = 2.5
_SHORTEST_SCORE = 1.0
_LEAST_CHROMA = 0.05
_DRUMS = 0.5
_NOTHING, _RESTS = 0.145, 0.06


class RoughRun(NamedTuple):
    """A run without a jump.

    Attributes:
        way: quarters in written order and seconds.
        begins, ends: seconds.
        joined: whether it goes on from the run before without a break.
    """

    way: HeardWay
    begins: float
    ends: float
    joined: bool


def quiet_frames(energy: Array, around: int) -> NDArray[np.bool_]:
    """Frames, ten a second, around which next to nothing sounds."""
    from scipy.ndimage import maximum_filter1d

    count = len(energy) // TOGETHER
    mean = energy[: count * TOGETHER].reshape(count, TOGETHER).mean(axis=1)
    level = 10 * np.log10(maximum_filter1d(mean, around) + 1e-14)
    return np.asarray(level < np.percentile(level, 80) - _QUIET_DB)


def idle_costs(heard: Array, unpitched: float) -> Array:
    """What each frame costs as nothing of the score.

    In music with pitches any other sound costs the same. Without them a frame in which nothing begins fits any rest, so
    that it must cost little here as well, and applause is a noise that never stops.
    """
    silent = 0.5 * (heard**2).sum(axis=1) + np.float32(_RESTS)
    drums = np.minimum(silent, np.float32(_NOTHING))
    share = np.float32(unpitched**2)
    return np.asarray(share * drums + (1 - share) * np.float32(_NOTHING), np.float32)


def rough_runs(
    music: WrittenMusic,
    sound: SoundFeatures,
    weights: Weights,
    shares: Array,
    progress: Callable[[float], None],
) -> list[RoughRun]:
    """Which bars were played when, to a tenth of a second or two.

    Args:
        music: the written music.
        sound: the recording.
        weights: of the features.
        shares: what each sort of stroke without pitch fills.
        progress: told the share that is done.
    """
    costs = StructureCosts()
    heard = _levelled(weights.sound(sound, slice(None), TOGETHER), weights)
    quiet = quiet_frames(sound.energy, 15 if music.unpitched_share > _DRUMS else 5)
    idle = idle_costs(heard, music.unpitched_share)
    tries = []
    for number, tempo in enumerate(TEMPI):
        frames = FrameCosts(heard, _score_frames(music, tempo, weights, shares), quiet, idle)
        forward = walk_forward(frames, costs, lambda share, n=number: progress((n + share) / (len(TEMPI) + 1)))  # type: ignore[misc]
        tries.append((forward.total, number, frames, forward))
        tries = [min(tries)]
    _, number, frames, forward = tries[0]
    path = walk_back(frames, costs, forward)
    progress(1.0)
    return _runs(path, _ScoreClock(music, TEMPI[number]))


def _levelled(rows: Array, weights: Weights) -> Array:
    """Chroma back at unit length after frames were taken together."""
    if weights.chroma < _LEAST_CHROMA:
        return rows
    rows[:, :12] = unit(rows[:, :12], 0.1 * weights.chroma) * np.float32(weights.chroma)
    return rows


def _score_frames(music: WrittenMusic, tempo: float, weights: Weights, shares: Array) -> ScoreFrames:
    notes = music.notes
    starts, ends = (music.seconds(edge) / tempo for edge in (notes.onset, notes.onset + notes.length))
    bars = music.seconds(music.starts) / tempo
    frames = int(music.seconds(music.ends[-1:])[0] / tempo * FRAME_RATE) + TOGETHER
    written = score_features(notes, starts, ends, frames, FRAME_RATE, shares)
    count = frames // TOGETHER
    rows = weights.score(written)[: count * TOGETHER].reshape(count, TOGETHER, -1).mean(axis=1)
    struck = (written.struck[: count * TOGETHER].reshape(count, TOGETHER).mean(axis=1) > 0.3).astype(np.float32)
    first = np.minimum(np.round(bars * RATE).astype(np.int64), count - 1)
    return ScoreFrames(_levelled(rows, weights), struck, first, arcs=bar_arcs(music.piece))


class _ScoreClock:
    """Quarters of score frames."""

    def __init__(self, music: WrittenMusic, tempo: float) -> None:
        self._quarters, seconds = music.knots
        self._frames = seconds / tempo * RATE

    def quarters(self, frames: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.interp(frames, self._frames, self._quarters))


def _runs(path: NDArray[np.int64], clock: _ScoreClock) -> list[RoughRun]:
    """Stretches of the path in which the score goes on without a jump."""
    moves = np.diff(path)
    plays = path != NOTHING
    breaks = np.flatnonzero((moves < 0) | (moves > 3) | ~plays[1:] | ~plays[:-1]) + 1
    edges = np.unique(np.concatenate([[0], breaks, [len(path)]]))
    runs: list[RoughRun] = []
    ended = -1
    for start, stop in pairwise(edges):
        if path[start] == NOTHING:
            continue
        if (stop - start) / RATE >= _SHORTEST_SECONDS and (path[stop - 1] - path[start]) / RATE >= _SHORTEST_SCORE:
            runs.append(_run(path[start:stop], start, clock, joined=start == ended))
        ended = stop
    return runs


def _run(states: NDArray[np.int64], start: int, clock: _ScoreClock, *, joined: bool) -> RoughRun:
    count = len(states)
    frames = np.concatenate([[states[0]], states + 0.5, [states[-1] + 1]]).astype(float)
    seconds = np.concatenate([[start], start + np.arange(count) + 0.5, [start + count]]) / RATE
    quarters, place = np.unique(clock.quarters(frames), return_inverse=True)
    mean = np.bincount(place, seconds) / np.bincount(place)
    return RoughRun(HeardWay(quarters, mean), start / RATE, (start + count) / RATE, joined=joined)

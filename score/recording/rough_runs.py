"""From the sound of a recording to runs of bars, roughly placed."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.bar_arcs import bar_arcs
from score.recording.feature_weights import UNLIKE, UNLIKE_LEARNT, MusicWeights, Weights
from score.recording.fine import HeardWay
from score.recording.frame_costs import FrameCosts, ScoreFrames
from score.recording.score_features import score_features
from score.recording.score_moments import WrittenMusic
from score.recording.semitones import Array
from score.recording.sound_features import FRAME_RATE, SoundFeatures, unit
from score.recording.structure import NOTHING, StructureCosts, walk_back, walk_forward

TOGETHER = 5
"""Frames of fifty a second taken together: ten a second."""
RATE = FRAME_RATE / TOGETHER
TEMPI = (0.48, 0.58, 0.69, 0.83, 1.0, 1.2, 1.44, 1.73)
"""Times the score's own tempo at which the music may go."""
_BACK, _ON = 0.25, 0.5
"""Seconds of the score by which a frame lies back or ahead where the music has jumped."""
_QUIET_DB = 40.0
_OF_DRUMS = 0.6
"""What jumps and talk cost in music for drums, where right and wrong bars lie closer together."""
_SHORTEST_SECONDS, _SHORTEST_JOINED = 2.5, 0.7
_SHORTEST_SCORE = 1.0
_LEAST_CHROMA = 0.05
_DOUBTFUL, _DOUBTFUL_SECONDS = 0.7, 3.0


class RoughRun(NamedTuple):
    """A run without a jump.

    Attributes:
        way: quarters in written order and seconds.
        joined: whether it goes on from the run before without a break.
    """

    way: HeardWay
    joined: bool


def quiet_frames(energy: Array, around: int) -> NDArray[np.bool_]:
    """Frames, ten a second, around which next to nothing sounds."""
    from scipy.ndimage import maximum_filter1d

    count = len(energy) // TOGETHER
    mean = energy[: count * TOGETHER].reshape(count, TOGETHER).mean(axis=1)
    level = 10 * np.log10(maximum_filter1d(mean, around) + 1e-14)
    return np.asarray(level < np.percentile(level, 80) - _QUIET_DB)


def rough_runs(
    music: WrittenMusic,
    sound: SoundFeatures,
    weights: MusicWeights,
    shares: Array,
    doubtful: Sequence[tuple[float, float]] | None,
    progress: Callable[[float], None],
) -> list[RoughRun]:
    """Which bars were played when, to a tenth of a second or two.

    Args:
        music: the written music.
        sound: the recording.
        weights: of the features.
        shares: what each sort of stroke without pitch fills.
        doubtful: seconds from and to which an earlier look claimed bars that did not fit; None at the first look.
        progress: told the share that is done.
    """
    costs = StructureCosts().cheaper(_OF_DRUMS if music.is_mostly_drums else 1.0)
    heard = _levelled(weights.coarse.sound(sound, slice(None), TOGETHER), weights.coarse)
    quiet = quiet_frames(sound.energy, 15 if music.is_mostly_drums else 5)
    frames = FrameCosts(heard, _score_frames(music, weights.coarse, shares), quiet, _idle(weights, heard, doubtful))
    forward = walk_forward(frames, costs, lambda share: progress(0.5 * share))
    path = walk_back(frames, costs, forward)
    progress(1.0)
    return _runs(path, frames.score, music)


def _idle(weights: MusicWeights, heard: Array, doubtful: Sequence[tuple[float, float]] | None) -> Array:
    """What each frame costs as nothing of the score: less where an earlier look found nothing that fits."""
    idle = weights.idle(heard, RATE, UNLIKE if doubtful is None else UNLIKE_LEARNT)
    for begins, ends in doubtful or ():
        if ends - begins >= _DOUBTFUL_SECONDS:
            idle[int(begins * RATE) : int(ends * RATE)] *= np.float32(_DOUBTFUL)
    return idle


def _levelled(rows: Array, weights: Weights) -> Array:
    """Chroma back at unit length after frames were taken together."""
    if weights.chroma < _LEAST_CHROMA:
        return rows
    rows[:, :12] = unit(rows[:, :12], 0.1 * weights.chroma) * np.float32(weights.chroma)
    return rows


def _score_frames(music: WrittenMusic, weights: Weights, shares: Array) -> ScoreFrames:
    """The written music at every tempo."""
    chains = [_chain(music, tempo, weights, shares) for tempo in TEMPI]
    edges = np.cumsum([0, *(len(chain.rows) for chain in chains)])
    places = [(np.arange(len(chain.rows)) + 0.5) / RATE * tempo for chain, tempo in zip(chains, TEMPI, strict=True)]
    return ScoreFrames(
        np.concatenate([chain.rows for chain in chains]),
        np.concatenate([chain.struck for chain in chains]),
        np.concatenate(places).astype(np.float32),
        starts=np.array([chain.starts + edge for chain, edge in zip(chains, edges[:-1], strict=True)]),
        edges=edges,
        arcs=bar_arcs(music.piece),
    )


class _TempoChain(NamedTuple):
    """The written music at one tempo."""

    rows: Array
    struck: Array
    starts: NDArray[np.int64]


def _chain(music: WrittenMusic, tempo: float, weights: Weights, shares: Array) -> _TempoChain:
    notes = music.notes
    starts, ends = (music.seconds(edge) / tempo for edge in (notes.onset, notes.onset + notes.length))
    frames = int(music.seconds(music.ends[-1:])[0] / tempo * FRAME_RATE) + TOGETHER
    written = score_features(notes, starts, ends, frames, FRAME_RATE, shares)
    count = frames // TOGETHER
    rows = weights.score(written)[: count * TOGETHER].reshape(count, TOGETHER, -1).mean(axis=1)
    struck = (written.struck[: count * TOGETHER].reshape(count, TOGETHER).mean(axis=1) > 0.3).astype(np.float32)
    first = np.minimum(np.round(music.seconds(music.starts) / tempo * RATE).astype(np.int64), count - 1)
    return _TempoChain(_levelled(rows, weights), struck, first)


def _runs(path: NDArray[np.int64], score: ScoreFrames, music: WrittenMusic) -> list[RoughRun]:
    """Stretches of the path in which the score goes on without a jump."""
    plays = path != NOTHING
    places = np.where(plays, score.places[path], 0.0)
    moves = np.diff(places)
    breaks = np.flatnonzero((moves < -_BACK) | (moves > _ON) | ~plays[1:] | ~plays[:-1]) + 1
    runs: list[RoughRun] = []
    ended = -1
    for start, stop in pairwise(np.unique(np.concatenate([[0], breaks, [len(path)]]))):
        if not plays[start]:
            continue
        joined = start == ended
        # An ending of one bar is short; what stands alone and is short is chance.
        least = _SHORTEST_JOINED if joined else _SHORTEST_SECONDS
        if (stop - start) / RATE >= least and places[stop - 1] - places[start] >= min(least, _SHORTEST_SCORE):
            runs.append(_run(places[start:stop], start, music, joined=joined))
        ended = stop
    return runs


def _run(places: NDArray[np.float64], start: int, music: WrittenMusic, *, joined: bool) -> RoughRun:
    count = len(places)
    half = 0.5 / RATE
    written = np.maximum.accumulate(np.concatenate([[max(0.0, places[0] - half)], places, [places[-1] + half]]))
    seconds = np.concatenate([[start], start + np.arange(count) + 0.5, [start + count]]) / RATE
    quarters, place = np.unique(music.quarters(written), return_inverse=True)
    mean = np.bincount(place, seconds) / np.bincount(place)
    return RoughRun(HeardWay(quarters, mean), joined)

"""A run of bars put in place: from a rough way to the second of every moment."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.band import warp
from score.recording.feature_weights import Weights
from score.recording.score_features import score_features
from score.recording.score_moments import Floats, WrittenMusic
from score.recording.semitones import Array
from score.recording.snap import REACHES, Attacks, heard_in, snapped
from score.recording.sound_features import FRAME_RATE, SoundFeatures

_AROUND = 1.0
"""Seconds of sound beside a run."""
_LEAST_SLOPE = 0.05
_CLOSE = 0.125
"""Quarters between the knots of the way."""
_BEFORE = 0.26
"""Quarters before a run in which a stroke still belongs to it."""


class FineStage(NamedTuple):
    """One look at a run.

    Attributes:
        by: frames of fifty a second together.
        seconds: how far it may move.
        even: frames over which the way is smoothed.
    """

    by: int
    seconds: float
    even: int


STAGES = (FineStage(2, 0.8, 5), FineStage(1, 0.35, 3))
WIDE = FineStage(2, 1.6, 5)
"""First, where there are pitches: harmony finds its place from afar, the rhythm of drums alone would take another's."""
_STEP = 0.06


class HeardWay(NamedTuple):
    """Where the written music passes: quarters in written order and seconds, both rising."""

    quarters: Floats
    seconds: Floats

    @property
    def slope(self) -> float:
        """Seconds a quarter, on the mean."""
        quarters = float(self.quarters[-1] - self.quarters[0])
        return max(_LEAST_SLOPE, float(self.seconds[-1] - self.seconds[0]) / max(quarters, 1e-6))

    @property
    def frames(self) -> slice:
        """The frames of sound it passes, with some around."""
        begin, end = max(0.0, float(self.seconds[0]) - _AROUND), float(self.seconds[-1]) + _AROUND
        return slice(int(begin * FRAME_RATE), int(end * FRAME_RATE))

    def at(self, quarters: Floats, slope: float) -> Floats:
        """Seconds of any quarters; beyond both ends at so many seconds a quarter."""
        inside = np.interp(quarters, self.quarters, self.seconds)
        before = self.seconds[0] + (quarters - self.quarters[0]) * slope
        after = self.seconds[-1] + (quarters - self.quarters[-1]) * slope
        low, high = quarters < self.quarters[0], quarters > self.quarters[-1]
        return np.asarray(np.where(low, before, np.where(high, after, inside)))


class PlacedRun(NamedTuple):
    """A run with the second of each of its moments.

    Attributes:
        moments: indices into the music's moments.
        seconds: of each.
        slow: of each, before attacks were looked for.
        way: the way it goes.
        first, last: quarters between which it was played.
    """

    moments: NDArray[np.int64]
    seconds: Floats
    slow: Floats
    way: HeardWay
    first: float
    last: float


def placed_run(
    music: WrittenMusic, sound: SoundFeatures, attacks: Attacks, way: HeardWay, weights: Weights, shares: Array
) -> PlacedRun:
    """Put a run in place.

    Args:
        music: the written music.
        sound: the recording.
        attacks: its attacks.
        way: where the run goes, roughly.
        weights: of the features.
        shares: what each sort of stroke without pitch fills.
    """
    first, last = float(way.quarters[0]), float(way.quarters[-1])
    slope, notes = way.slope, music.notes.chosen(within(music.notes.onset, first, last))
    for stage in STAGES if music.is_mostly_drums else (WIDE, *STAGES):
        frames = way.frames
        heard = weights.sound(sound, frames, stage.by)
        begin, rate = frames.start / FRAME_RATE, FRAME_RATE / stage.by
        starts, ends = (way.at(edge, slope) - begin for edge in (notes.onset, notes.onset + notes.length))
        written = score_features(notes, starts, ends, len(heard), rate, shares)
        places = warp(heard, weights.score(written), written.struck, int(stage.seconds * rate), _STEP)
        way = _followed(way, places, first, last, slope=slope, begin=begin, rate=rate, even=stage.even)
    chosen = np.flatnonzero(within(music.moment_quarters, first, last))
    quarters = music.moment_quarters[chosen]
    slow = seconds = way.at(quarters, slope)
    where = heard_in(notes, quarters, shares)
    for reach in REACHES:
        seconds = snapped(seconds, where, attacks, reach)
    return PlacedRun(chosen, seconds, slow, way=way, first=first, last=last)


def within(quarters: Floats, first: float, last: float) -> NDArray[np.bool_]:
    """Which places belong to a run from one quarter to another: those inside, and those just before it."""
    return np.asarray((quarters >= first - _BEFORE) & (quarters < last - 1e-6))


def _followed(
    way: HeardWay,
    places: NDArray[np.int64],
    first: float,
    last: float,
    *,
    slope: float,
    begin: float,
    rate: float,
    even: int,
) -> HeardWay:
    """The way after the sound was warped onto it."""
    from scipy.ndimage import uniform_filter1d

    frames = np.arange(len(places))
    reached, index = np.unique(places, return_index=True)
    counts = np.unique(places, return_counts=True)[1]
    middle = np.interp(frames, reached, index + (counts - 1) / 2)
    smooth = uniform_filter1d(middle - frames, even) + frames
    quarters = np.unique(np.concatenate([way.quarters, np.arange(np.ceil(first / _CLOSE) * _CLOSE, last, _CLOSE)]))
    old = (way.at(quarters, slope) - begin) * rate
    seconds = np.interp(old, frames, smooth) / rate + begin
    return HeardWay(quarters, np.maximum.accumulate(seconds + 1e-6 * np.arange(len(seconds))))

"""How much harmony and attacks count, by the music and by how clearly the recording shows attacks."""

from typing import NamedTuple

import numpy as np

from score.recording.score_features import ScoreFeatures
from score.recording.score_moments import WrittenMusic
from score.recording.semitones import Array
from score.recording.sound_features import FRAME_RATE, SoundFeatures, shrunk

_CLEAR = 0.12
"""Half the mean square of the onsets where attacks stand out; bowed sound shows twice as much, and without meaning."""
_LEAST_CLEAR = 0.25
_CHROMA, _ONSETS = 0.2, 0.8
_MORE_CHROMA = 0.3
_NOTHING, _MORE_NOTHING = 0.145, 0.8
_RESTS = 0.06


class Weights(NamedTuple):
    """How much each kind of feature counts, by length: harmony, what begins by pitch, what begins by band."""

    chroma: float
    onsets: float
    bands: float

    def sound(self, sound: SoundFeatures, frames: slice, by: int = 1) -> Array:
        """Features of the sound over some frames, `by` of them together."""
        rows = (sound.chroma[frames], sound.onsets[frames], sound.bands[frames])
        return self._joined(*(shrunk(row, by) if by > 1 else row for row in rows))

    def score(self, score: ScoreFeatures) -> Array:
        """Features of the score."""
        return self._joined(score.chroma, score.onsets, score.bands)

    def _joined(self, chroma: Array, onsets: Array, bands: Array) -> Array:
        return np.concatenate(
            [chroma * np.float32(self.chroma), onsets * np.float32(self.onsets), bands * np.float32(self.bands)], axis=1
        )


class MusicWeights(NamedTuple):
    """Weights for one recording.

    Attributes:
        coarse: for finding runs.
        fine: for putting them in place.
        nothing: what a frame costs in which nothing of the score sounds.
        unpitched: how much of the strokes have no pitch.
    """

    coarse: Weights
    fine: Weights
    nothing: float
    unpitched: float

    def idle(self, heard: Array) -> Array:
        """What each frame costs as nothing of the score; shape (frames,).

        In music with pitches any other sound costs the same. Without them a frame in which nothing begins fits any
        rest, so that it must cost little here as well.
        """
        silent = 0.5 * (heard**2).sum(axis=1) + np.float32(_RESTS)
        drums = np.minimum(silent, np.float32(self.nothing))
        share = np.float32(self.unpitched**2)
        return np.asarray(share * drums + (1 - share) * np.float32(self.nothing), np.float32)


def music_weights(music: WrittenMusic, sound: SoundFeatures) -> MusicWeights:
    """Weights for this music in this recording."""
    share, clear = music.unpitched_share, _clearness(sound)
    chroma, onsets = _CHROMA + _MORE_CHROMA * (1 - clear), clear
    nothing = _NOTHING * (1 + _MORE_NOTHING * (1 - clear) * (1 - share))
    return MusicWeights(
        _weights(chroma, _ONSETS * onsets, share), _weights(chroma, onsets, share), nothing, unpitched=share
    )


def _weights(chroma: float, onsets: float, share: float) -> Weights:
    return Weights(np.sqrt(chroma * (1 - share**2)), np.sqrt(onsets * (1 - share)), bands=np.sqrt(onsets * share))


def _clearness(sound: SoundFeatures) -> float:
    """How clearly attacks stand out where it is loud, 0 to 1, by pieces of two seconds."""
    loud = sound.energy > np.percentile(sound.energy, 40)
    size = 0.5 * (sound.onsets**2).sum(axis=1)
    pieces = np.arange(len(size)) // int(2 * FRAME_RATE)
    counts = np.bincount(pieces, loud)
    means = np.bincount(pieces, size * loud)[counts > FRAME_RATE] / counts[counts > FRAME_RATE]
    return float(np.clip(_CLEAR / (np.median(means) + 1e-9), _LEAST_CLEAR, 1)) if len(means) else 1.0

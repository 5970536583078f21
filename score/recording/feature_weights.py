"""How much harmony and attacks count, by the music and by how clearly the recording shows attacks."""

from typing import NamedTuple

import numpy as np

from score.recording.score_features import ScoreFeatures
from score.recording.score_moments import WrittenMusic
from score.recording.semitones import Array
from score.recording.sound_features import FRAME_RATE, HeardRows, SoundFeatures, shrunk, sizes

_CLEAR = 0.12
"""Half the mean square of the onsets where attacks stand out; bowed sound shows twice as much, and without meaning."""
_LEAST_CLEAR = 0.25
_CHROMA, _ONSETS = 0.2, 0.8
_MORE_CHROMA = 0.3
_NOTHING, _MORE_NOTHING = 0.145, 0.8
_BANDS = 2.5
"""How much more bands count where nothing has a pitch: what fits and what does not lie closer together there."""
UNLIKE, UNLIKE_LEARNT = 0.8, 0.5
"""Share of what is heard that strokes in place leave unexplained at the most: by the table, and as learnt here."""
_UNSTEADY, _RESTS, _MOST = 2.0, 0.01, 0.11
_AROUND_SECONDS, _STEADY_SECONDS = 3.0, 1.1


class Weights(NamedTuple):
    """How much each kind of feature counts, by length: harmony, what begins by pitch, what begins by band."""

    chroma: float
    onsets: float
    bands: float

    def sound(self, sound: SoundFeatures, frames: slice, by: int = 1) -> Array:
        """Features of the sound over some frames, `by` of them together."""
        rows = (sound.chroma[frames], sound.onsets[frames], sound.bands[frames])
        return self._joined(*(shrunk(row, by) for row in rows))

    def score(self, score: ScoreFeatures) -> Array:
        """Features of the score."""
        return self._joined(score.chroma, score.onsets, score.bands)

    def _joined(self, chroma: HeardRows, onsets: HeardRows, bands: HeardRows) -> Array:
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

    def idle(self, heard: Array, rate: float, unlike: float) -> Array:
        """What each frame costs as nothing of the score; shape (frames,).

        In music with pitches any other sound costs the same. Strokes without leave a share of what is heard
        unexplained where they are in place, talk leaves more; in rests both cost little. Applause goes on and on:
        whatever is like its own mean of a second needs no score.

        Args:
            heard: features of the sound.
            rate: frames a second.
            unlike: share of strokes without pitch that may stay unexplained.
        """
        from scipy.ndimage import uniform_filter1d

        moving = heard - uniform_filter1d(heard, round(_STEADY_SECONDS * rate), axis=0)
        begun, changed = (
            uniform_filter1d(0.5 * (rows**2).sum(axis=1), round(_AROUND_SECONDS * rate)) for rows in (heard, moving)
        )
        drums = np.minimum(np.minimum(unlike * begun, _UNSTEADY * changed) + _RESTS, _MOST)
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
    bands = onsets * share * (1 + (_BANDS - 1) * share**2)
    return Weights(np.sqrt(chroma * (1 - share**2)), np.sqrt(onsets * (1 - share)), bands=np.sqrt(bands))


def _clearness(sound: SoundFeatures) -> float:
    """How clearly attacks stand out where it is loud, 0 to 1, by pieces of two seconds."""
    loud = sound.energy > np.percentile(sound.energy, 40)
    size = 0.5 * sizes(sound.onsets) ** 2
    pieces = np.arange(len(size)) // int(2 * FRAME_RATE)
    counts = np.bincount(pieces, loud)
    means = np.bincount(pieces, size * loud)[counts > FRAME_RATE] / counts[counts > FRAME_RATE]
    return float(np.clip(_CLEAR / (np.median(means) + 1e-9), _LEAST_CLEAR, 1)) if len(means) else 1.0

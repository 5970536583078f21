"""How much later or earlier than the blow itself each semitone and band shows an attack.

Long windows see a blow before it falls, and soft voices show it late. The very short window sees any blow where it
falls but not what was struck; on the clearest attacks of each kind both are compared, and all are read with that lag.
"""

import numpy as np
from numpy.typing import NDArray

from score.recording.score_moments import Floats
from score.recording.semitones import PITCHES, SHORT
from score.recording.sound_features import FINE_RATE, SHARP_RATE, SoundFeatures

LARGEST = 0.025
"""Seconds of a lag at the most."""
_AROUND = 0.045
_MOST, _FEWEST = 600, 12
_CLEAR = 0.6
_EARLY = 0.002
"""Seconds by which even the very short window sees a blow before it falls."""


def attack_lags(sound: SoundFeatures) -> tuple[Floats, float]:
    """Seconds by which the flux peaks after the blow, for each semitone and for all bands."""
    semitones = np.zeros(PITCHES)
    low = SHORT[0].low
    for window in SHORT:
        columns = slice(window.low - low, window.high - low)
        semitones[columns] = _lag(sound.flux[:, columns], sound.sharp)
    return semitones, _lag(sound.band_flux, sound.sharp)


def _lag(flux: NDArray[np.uint8], sharp: NDArray[np.uint8]) -> float:
    """The middle of the differences at the clearest attacks; 0 where there are few."""
    peaks = _clear_peaks(flux.max(axis=1))
    width = int(_AROUND * SHARP_RATE)
    centers = np.round(peaks / FINE_RATE * SHARP_RATE).astype(int)
    centers = centers[(centers >= width) & (centers < len(sharp) - width)]
    if len(centers) < _FEWEST:
        return 0.0
    seen = sharp[centers[:, None] + np.arange(-width, width + 1)[None]].astype(float)
    seen = seen[seen.max(axis=1) >= np.median(seen.max(axis=1))]
    lags = (width - seen.argmax(axis=1)) / SHARP_RATE - _EARLY
    return float(np.clip(np.median(lags), -LARGEST, LARGEST))


def _clear_peaks(size: NDArray[np.uint8]) -> NDArray[np.int64]:
    """Frames of attacks that stand alone among the strong ones."""
    from scipy.ndimage import maximum_filter1d

    top = size == maximum_filter1d(size, int(0.2 * FINE_RATE))
    strong = size >= max(1.0, _CLEAR * float(np.percentile(size, 99.5)))
    peaks = np.flatnonzero(top & strong)
    return peaks[:: 1 + len(peaks) // _MOST]

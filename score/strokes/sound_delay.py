"""How far one recording runs behind what was sent into the room, from the sound itself.

Generalised cross-correlation with most of the magnitude taken out (Knapp & Carter, 1976), so that the edges of sounds
count and not their length.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.strokes.spectral_rise import RATE, Samples, vertex

TRUSTED = 7.0
"""Height of the peak over the spread of the correlation from which a delay is believed: noise alone reaches 5."""
_WHITENED = 0.8
_LOWEST, _HIGHEST = 300.0, 12_000.0


class SoundDelay(NamedTuple):
    """A delay found in sound.

    Attributes:
        seconds: by which the recording is later than what was sent; negative where it began later.
        quality: the peak over the spread of the correlation; see `TRUSTED`.
    """

    seconds: float
    quality: float

    @property
    def is_trusted(self) -> bool:
        """Whether what was sent is heard at all."""
        return self.quality >= TRUSTED


def sound_delay(heard: Samples, sent: Samples, least: float = 0.0, most: float = 0.5) -> SoundDelay:
    """The delay of a recording behind what was sent, to a fraction of a sample.

    Args:
        heard: the recording.
        sent: what the loudspeaker was given, from the same moment on.
        least: seconds from which it is sought.
        most: seconds to which it is.
    """
    correlation = _correlation(heard, sent)
    size = len(correlation)
    lags = np.arange(round(least * RATE), round(most * RATE) + 1)
    sought = correlation[lags % size]
    if not len(sought) or not np.any(sought):
        return SoundDelay(0.0, 0.0)
    best = int(np.argmax(sought))
    quality = float(sought[best] / (np.std(sought) + 1e-20))
    between = vertex(*map(float, correlation[np.arange(lags[best] - 1, lags[best] + 2) % size]))
    return SoundDelay((int(lags[best]) + between) / RATE, quality)


def _correlation(heard: Samples, sent: Samples) -> NDArray[np.float64]:
    size = 1 << int(np.ceil(np.log2(max(2, len(heard) + len(sent)))))
    cross = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(sent, size))
    cross /= np.abs(cross) ** _WHITENED + 1e-12
    pitch = np.fft.rfftfreq(size, 1 / RATE)
    cross *= (pitch > _LOWEST) & (pitch < _HIGHEST)
    return np.asarray(np.fft.irfft(cross, size))

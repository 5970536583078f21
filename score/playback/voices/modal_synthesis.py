"""Modal synthesis: decaying sines, all at once, as one product of two matrices; and bands of noise."""

from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from score.playback.voices.voice_model import Noise

Sound = NDArray[np.float32]
_Doubles = NDArray[np.float64]

_LN1000 = 3.0 * log(10.0)
_STEP = 256


@dataclass(frozen=True, slots=True)
class Sine:
    """One decaying sine, starting at phase 0.

    Attributes:
        hertz: frequency.
        gain: amplitude at its onset.
        t60: seconds in which it falls by 60 dB.
    """

    hertz: float
    gain: float
    t60: float


def sines(parts: list[Sine], frames: int, rate: int) -> Sound:
    """The sum of gain * exp(-t ln 1000 / T60) * sin(2 pi f t); shape (frames,).

    With t = a + b, sin(a + b) = sin a cos b + cos a sin b and the decay is a product too: a table over the coarse
    steps a times a table over the fine steps b adds up all sines in one matrix product, without one sine a sample.
    """
    if not parts or frames <= 0:
        return np.zeros(max(0, frames), np.float32)
    omega = np.array([2.0 * pi * part.hertz for part in parts])
    fall = np.array([_LN1000 / part.t60 for part in parts])
    gains = np.array([part.gain for part in parts])
    coarse = np.arange(-(-frames // _STEP))[:, None] * (_STEP / rate)
    fine = np.arange(_STEP)[None, :] / rate
    outer = gains * np.exp(-coarse * fall)
    inner = np.exp(-fine * fall[:, None])
    left = np.hstack([outer * np.sin(coarse * omega), outer * np.cos(coarse * omega)])
    right = np.vstack([inner * np.cos(fine * omega[:, None]), inner * np.sin(fine * omega[:, None])])
    # The tables are exact in double precision; only the sum is taken in single, at twice the speed.
    return np.asarray(left.astype(np.float32) @ right.astype(np.float32)).reshape(-1)[:frames]


def noise(band: Noise, frames: int, rate: int, seed: int) -> Sound:
    """A decaying band of noise, the same for the same seed; RMS at its onset is the band's gain.

    Shape (up to `frames`,): it ends where it has fallen by 60 dB.
    """
    frames = min(frames, round((band.t60 + 3.0 * band.rise) * rate))
    if frames <= 0:
        return np.zeros(0, np.float32)
    size = 1 << max(10, (frames - 1).bit_length())
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(size))
    spectrum *= _band(np.asarray(np.fft.rfftfreq(size, 1.0 / rate), np.float64), band.low, band.high)
    sound = np.fft.irfft(spectrum, size)
    time = np.arange(frames) / rate
    shape = np.exp(-time * (_LN1000 / band.t60))
    if band.rise > 0.0:
        shape *= 1.0 - np.exp(-time / band.rise)
    return np.asarray(sound[:frames] * shape * (band.gain / max(1e-12, float(np.std(sound)))), np.float32)


def breath(seconds: float, rate: int, seed: int) -> Sound:
    """An audible in-breath that swells until just before it ends: air through a mouth that opens; shape (frames,)."""
    frames = max(1, round(seconds * rate))
    dark = noise(Noise(350.0, 1400.0, 1.0, t60=1e9), frames, rate, seed)
    bright = noise(Noise(1200.0, 5200.0, 0.8, t60=1e9), frames, rate, seed + 1)
    place = np.arange(frames) / frames
    swell = np.sin(0.5 * pi * np.minimum(1.0, place / 0.82)) ** 2
    close = np.where(place > 0.82, np.cos(0.5 * pi * np.clip((place - 0.82) / 0.18, 0.0, 1.0)) ** 2, 1.0)
    return np.asarray((dark * (1.0 - 0.6 * place) + bright * place) * swell * close, np.float32)


def _band(frequency: _Doubles, low: float, high: float) -> _Doubles:
    # Second-order slopes on both sides: no ringing, no edge to be heard as a pitch.
    above = (frequency / low) ** 2
    return np.asarray(above / (1.0 + above) / (1.0 + (frequency / high) ** 2))

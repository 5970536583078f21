"""Recorded sound slower or faster at its own pitch, with attacks as they were.

A phase vocoder whose phases are locked to the peaks of the spectrum (Laroche & Dolson, IEEE Trans. Speech Audio
Process. 7, 1999). Around every attack it takes the sound's own phases at the sound's own speed, and slows the rest so
much more that each attack falls exactly where it belongs.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]
Spectrum = NDArray[np.complex64]

WINDOW, HOP = 2048, 512
BEFORE, KEPT = 0.02, 0.045
"""Seconds before and after an attack that keep their own speed."""
_LEAST_GAP = 0.6
"""Share of the time to the next attack that is kept at the most."""
_BLOCK = 64


class TimeKnots(NamedTuple):
    """Where each second of the source falls; both rising."""

    source: NDArray[np.float64]
    heard: NDArray[np.float64]


def time_knots(seconds: float, factor: float, attacks: Sequence[float]) -> TimeKnots:
    """Straight lines from attack to attack, at the sound's own speed around each.

    Args:
        seconds: length of the source.
        factor: how many times as long it becomes.
        attacks: seconds of attacks in it, rising.
    """
    source, heard = [0.0], [0.0]
    for index, attack in enumerate(attacks):
        following = attacks[index + 1] if index + 1 < len(attacks) else seconds
        kept = min(KEPT, _LEAST_GAP * min(1.0, factor) * (following - attack))
        if attack - BEFORE <= source[-1] or factor * attack - BEFORE <= heard[-1] or kept <= 0:
            continue
        source += [attack - BEFORE, attack + kept]
        heard += [factor * attack - BEFORE, factor * attack + kept]
    source.append(seconds + 1.0)
    heard.append(max(heard[-1] + 1e-6, factor * (seconds + 1.0)))
    return TimeKnots(np.array(source), np.array(heard))


def slowed(sound: Samples, rate: int, factor: float, attacks: Sequence[float]) -> Samples:
    """The sound `factor` times as long.

    Args:
        sound: shape (frames,).
        rate: frames a second.
        factor: 1 leaves it alone, 2 is half as fast.
        attacks: seconds of attacks in it, rising.

    Returns:
        Shape (frames × factor,).
    """
    if abs(factor - 1) < 1e-6:
        return sound
    knots = time_knots(len(sound) / rate, factor, attacks)
    total = round(len(sound) * factor)
    places = np.arange(0, total + HOP, HOP)
    sources = np.round(np.interp(places / rate, knots.heard, knots.source) * rate).astype(int)
    own = _own_phases(places / rate, factor, attacks)
    return _joined(_Vocoder(sound), sources, own, total)


def _own_phases(heard: NDArray[np.float64], factor: float, attacks: Sequence[float]) -> NDArray[np.bool_]:
    """Which frames lie so near an attack that they take the sound's own phases."""
    if not len(attacks):
        return np.zeros(len(heard), bool)
    places = factor * np.asarray(attacks)
    last = places[np.maximum(np.searchsorted(places, heard, "right") - 1, 0)]
    following = places[np.minimum(np.searchsorted(places, heard, "right"), len(places) - 1)]
    after = (heard >= last) & (heard < last + 0.5 * KEPT)
    before = (heard <= following) & (heard >= following - BEFORE - 0.01)
    return np.asarray(after | before)


def _joined(vocoder: "_Vocoder", sources: NDArray[np.int64], own: NDArray[np.bool_], total: int) -> Samples:
    shape = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
    heard = np.zeros(total + 2 * WINDOW, np.float32)
    weight = np.zeros(total + 2 * WINDOW, np.float32)
    for start in range(0, len(sources), _BLOCK):
        spectra = vocoder.turned(sources[start : start + _BLOCK], own[start : start + _BLOCK])
        for index, frame in enumerate(np.asarray(np.fft.irfft(spectra, WINDOW, axis=1), np.float32)):
            place = (start + index) * HOP
            heard[place : place + WINDOW] += frame * shape
            weight[place : place + WINDOW] += shape * shape
    half = WINDOW // 2
    return np.asarray(heard[half : half + total] / np.maximum(weight[half : half + total], 0.1), np.float32)


class _Vocoder:
    """Spectra of the source with the phases they have where they are heard."""

    def __init__(self, sound: Samples) -> None:
        self._padded = np.pad(sound, (2 * WINDOW, 3 * WINDOW))
        self._shape = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
        self._turn = 2 * np.pi * HOP * np.arange(WINDOW // 2 + 1) / WINDOW
        self._phase: NDArray[np.float64] | None = None

    def turned(self, sources: NDArray[np.int64], own: NDArray[np.bool_]) -> Spectrum:
        """Spectra at some frames of the source, one after the other."""
        here, before = self._spectra(sources), self._spectra(sources - HOP)
        size, phase, earlier = np.abs(here), np.angle(here), np.angle(before)
        moved = phase - earlier - self._turn
        moved += self._turn - 2 * np.pi * np.round(moved / (2 * np.pi))
        turned = np.empty_like(here)
        for index in range(len(sources)):
            if self._phase is None or own[index]:
                self._phase = phase[index].astype(float)
            else:
                self._phase = self._locked(size[index], phase[index], self._phase + moved[index])
            turned[index] = size[index] * np.exp(1j * self._phase)
        return turned

    def _locked(self, size: Samples, phase: Samples, expected: NDArray[np.float64]) -> NDArray[np.float64]:
        """Phases around each peak turned with it."""
        middle = size[2:-2]
        top = (middle > size[1:-3]) & (middle > size[:-4]) & (middle >= size[3:-1]) & (middle >= size[4:])
        peaks = np.flatnonzero(top) + 2
        if not len(peaks):
            return expected
        regions = np.searchsorted((peaks[1:] + peaks[:-1]) / 2, np.arange(len(size)))
        turn = expected[peaks] - phase[peaks]
        return np.asarray(phase + turn[regions])

    def _spectra(self, sources: NDArray[np.int64]) -> Spectrum:
        first = sources + 2 * WINDOW - WINDOW // 2
        frames = self._padded[np.clip(first, 0, len(self._padded) - WINDOW)[:, None] + np.arange(WINDOW)[None]]
        return np.asarray(np.fft.rfft(frames * self._shape, axis=1), np.complex64)

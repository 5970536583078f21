"""From sound to energies of semitones and of bands, in pieces."""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.sound_pieces import RATE, Samples
from score.recording.unpitched_bands import BANDS, EDGES

Array = NDArray[np.float32]

LOWEST, HIGHEST = 33, 108
"""MIDI numbers that are listened for."""
PITCHES = HIGHEST + 1 - LOWEST
MARGIN = 4096
"""Frames of sound that are needed on each side of the moments that are asked for."""
_ROWS, _SLOW = 512, 32


class Window(NamedTuple):
    """Semitones that are heard through one length of window.

    Attributes:
        frames: length.
        low, high: MIDI numbers from and below which.
    """

    frames: int
    low: int
    high: int


LONG = (Window(8192, LOWEST, high=52), Window(4096, 52, high=67), Window(2048, 67, high=HIGHEST + 1))
"""Long enough to tell neighbours apart."""
SHORT = (Window(4096, LOWEST, high=55), Window(2048, 55, high=72), Window(1024, 72, high=HIGHEST + 1))
"""Short enough to place attacks."""
_BAND_WINDOW, _SHARP_WINDOW = 1024, 256


def energies(sound: Samples, first: int, hop: int, count: int, cents: float, windows: tuple[Window, ...]) -> Array:
    """Energy of each semitone at moments `hop` frames apart.

    Args:
        sound: mono at `RATE`, with `MARGIN` frames before the first moment and after the last where there is sound.
        first: frame of the first moment.
        hop: frames between moments.
        count: how many moments.
        cents: how far the recording is from equal temperament at 440 Hz.
        windows: which semitones through which window.

    Returns:
        Shape (count, PITCHES).
    """
    power = np.zeros((count, PITCHES), np.float32)
    for window in windows:
        bins, bank = _heard_bins(semitone_bank(window, cents))
        columns = slice(window.low - LOWEST, window.high - LOWEST)
        every = 2 if window.frames >= _SLOW * hop else 1
        part = np.zeros((-(-count // every) + 1, window.high - window.low), np.float32)
        for start, spectra in _spectra(sound, first, every * hop, len(part), window.frames, bins):
            part[start : start + len(spectra)] = spectra @ bank
        power[::every, columns] = part[: len(power[::every])]
        if every == 2:
            # Through so long a window energies move slowly: what lies between is their mean.
            power[1::2, columns] = 0.5 * (part[: count // 2] + part[1 : count // 2 + 1])
    return power


def band_energies(sound: Samples, first: int, hop: int, count: int) -> Array:
    """Energy of each band of `unpitched_bands` at moments `hop` frames apart; shape (count, BANDS)."""
    power = np.zeros((count, BANDS), np.float32)
    bins, bank = _heard_bins(_band_bank())
    for start, spectra in _spectra(sound, first, hop, count, _BAND_WINDOW, bins):
        power[start : start + len(spectra)] = spectra @ bank
    return power


def sharp_energy(sound: Samples, first: int, hop: int, count: int) -> Array:
    """Energy through a very short window, which shows when an attack is made but not what is struck; shape (count,)."""
    power = np.zeros(count, np.float32)
    for start, spectra in _spectra(sound, first, hop, count, _SHARP_WINDOW, slice(2, None)):
        power[start : start + len(spectra)] = spectra.sum(axis=1)
    return power


def _heard_bins(bank: Array) -> tuple[slice, Array]:
    """The bins that a bank listens to, and its weights of those."""
    heard = np.flatnonzero(bank.any(axis=1))
    bins = slice(int(heard[0]), int(heard[-1]) + 1)
    return bins, bank[bins]


def _spectra(sound: Samples, first: int, hop: int, count: int, frames: int, bins: slice) -> Iterator[tuple[int, Array]]:
    """Power of some bins, a few hundred moments at a time, with the first moment of each."""
    from scipy.fft import rfft
    from scipy.signal import get_window

    shape = np.asarray(get_window("hann", frames), np.float32)
    shape /= shape.sum()
    begin = first - frames // 2
    before, after = max(0, -begin), max(0, begin + hop * (count - 1) + frames - len(sound))
    padded = np.pad(sound, (before, after)) if before or after else sound
    views = np.lib.stride_tricks.sliding_window_view(padded, frames)[begin + before :: hop][:count]
    for start in range(0, count, _ROWS):
        spectra = rfft(views[start : start + _ROWS] * shape, axis=1)[:, bins]
        yield start, spectra.real**2 + spectra.imag**2


def semitone_bank(window: Window, cents: float) -> Array:
    """Weights of the bins of a window for each of its semitones; shape (bins, semitones)."""
    bins = np.arange(window.frames // 2 + 1) * RATE / window.frames
    bank = np.zeros((len(bins), window.high - window.low), np.float32)
    for column, pitch in enumerate(range(window.low, window.high)):
        center = 440 * 2 ** ((pitch - 69 + cents / 100) / 12)
        width = max(0.5, 12 * np.log2(1 + RATE / window.frames / center))
        apart = np.abs(12 * np.log2(np.maximum(bins, 1) / center))
        bank[:, column] = np.clip(1.3 - apart / width, 0, 1) * (apart < width)
        if not bank[:, column].any():
            bank[np.argmin(np.abs(bins - center)), column] = 1
        bank[:, column] /= np.sqrt(bank[:, column].sum())
    return bank


def _band_bank() -> Array:
    bins = np.arange(_BAND_WINDOW // 2 + 1) * RATE / _BAND_WINDOW
    bank = np.zeros((len(bins), BANDS), np.float32)
    for band, (low, high) in enumerate(pairwise(EDGES)):
        bank[:, band] = (bins >= low) & (bins < high)
        if not bank[:, band].any():
            bank[np.argmin(np.abs(bins - (low + high) / 2)), band] = 1
    return bank


def fold(power: Array) -> Array:
    """Semitones into twelve pitch classes, C first; shape (n, 12)."""
    classes = np.arange(LOWEST, HIGHEST + 1) % 12
    folder = (classes[:, None] == np.arange(12)[None]).astype(np.float32)
    return np.asarray(power @ folder, np.float32)

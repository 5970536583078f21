"""What our own loudspeakers leave in a microphone: predicted from what was sent, subtracted, and kept as a floor.

The way from loudspeaker to microphone is one linear response, found by least squares over the whole recording: the mean
of heard times conjugate sent, over the mean power of what was sent, per frequency. The player's strokes average out.
"""

import numpy as np
from numpy.typing import NDArray

from score.strokes.spectral_rise import RATE, Samples

_SIZE = 32_768
_TAIL = int(0.35 * RATE)
_HEAD = int(0.01 * RATE)
_ROUNDS = 2


def predicted_bleed(heard: Samples, sent: Samples) -> Samples:
    """What of a recording came from the loudspeakers, of the recording's length.

    Args:
        heard: the recording.
        sent: what the loudspeakers were given, the delay taken off; cut or filled to the recording's length.
    """
    sent = fitted(sent, len(heard))
    response = np.zeros(_SIZE)
    for _ in range(_ROUNDS):
        rest = heard - filtered(sent, response)
        response += _response(rest, sent)
    return filtered(sent, response)


def fitted(samples: Samples, frames: int) -> Samples:
    """Cut, or filled with silence, to so many frames."""
    if len(samples) >= frames:
        return samples[:frames]
    return np.concatenate([samples, np.zeros(frames - len(samples), np.float32)])


def shifted(samples: Samples, seconds: float, frames: int) -> Samples:
    """The same sound so many seconds later (earlier where negative), cut or filled to so many frames.

    Whole samples are moved as they are, the rest of a sample by a phase in the spectrum.
    """
    whole = round(seconds * RATE)
    moved = samples[-whole:] if whole < 0 else np.concatenate([np.zeros(whole, np.float32), samples])
    moved = fitted(moved, frames)
    rest = seconds * RATE - whole
    if abs(rest) < 0.01 or not frames:
        return moved
    size = 1 << int(np.ceil(np.log2(frames + RATE)))
    spectrum = np.fft.rfft(moved, size) * np.exp(-2j * np.pi * np.fft.rfftfreq(size) * rest)
    return np.fft.irfft(spectrum, size)[:frames].astype(np.float32)


def filtered(sent: Samples, response: NDArray[np.float64]) -> Samples:
    """A sound through a response whose first hundredth of a second stands before its zero; overlap-add."""
    size = 2 * _SIZE
    transfer = np.fft.rfft(response, size)
    padded = np.zeros(len(sent) + size + _HEAD, np.float32)
    for start in range(0, len(sent), _SIZE):
        block = sent[start : start + _SIZE]
        padded[start : start + size] += np.fft.irfft(np.fft.rfft(block, size) * transfer, size)[: len(padded) - start]
    return padded[_HEAD : _HEAD + len(sent)]


def _response(heard: Samples, sent: Samples) -> NDArray[np.float64]:
    """The response that explains most of a recording, its tail cut; index `_HEAD` is no delay."""
    window = np.hanning(_SIZE)
    cross = np.zeros(_SIZE // 2 + 1, complex)
    power = np.zeros(_SIZE // 2 + 1)
    for start in range(0, max(1, len(sent) - _SIZE + 1), _SIZE // 2):
        a = np.fft.rfft(window * fitted(sent[start : start + _SIZE], _SIZE))
        y = np.fft.rfft(window * fitted(heard[start : start + _SIZE], _SIZE))
        cross += y * np.conj(a)
        power += np.abs(a) ** 2
    response = np.fft.irfft(cross / (power + 1e-4 * power.mean() + 1e-20), _SIZE)
    return np.concatenate([response[-_HEAD:], response[:_TAIL], np.zeros(_SIZE - _HEAD - _TAIL)])

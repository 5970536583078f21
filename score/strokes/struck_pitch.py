"""Which bar of a keyboard instrument was struck, told from what rises after the stroke: single notes from C4 up.

A bar is tuned to its fundamental and two octaves above it; what rang before is taken off. Lower notes and chords cannot
be told reliably this way and are left alone.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from score.strokes.spectral_rise import RATE, Samples

LOWEST = 60
"""MIDI number of the lowest bar whose strokes are told apart: C4."""
LOWEST_EVIDENCE, HIGHEST_EVIDENCE = 48, 96
_REACH = 5
_WINDOWS = (4096, 3072, 2048)
_GAP = int(0.006 * RATE)
_UPPER, _UPPER_SHARE = 4.0, 0.5
MARGIN, MARGIN_IN_BLEED = 1.4, 2.0


def struck_pitch(samples: Samples, seconds: float, expected: int, until: float, margin: float = MARGIN) -> int | None:
    """The pitch of a single stroke, within five semitones of the expected one.

    Args:
        samples: the recording, mono at `RATE`.
        seconds: when it was struck.
        expected: MIDI number that is written.
        until: when the next stroke is heard.
        margin: how many times stronger another pitch must be to be taken for it.

    Returns:
        The MIDI number; the expected one unless another is clearly stronger; None where there is too little to tell.
    """
    if expected < LOWEST:
        return None
    before, start, size = _stretches(samples, seconds, until)
    if not size:
        return None
    ringing = _partials(samples[max(0, before) : max(0, before) + size] if before > -size else None, expected, size)
    risen = np.maximum(_partials(samples[start : start + size], expected, size) - ringing, 0.0)
    evidence = risen[0] + _UPPER_SHARE * risen[1]
    best = int(np.argmax(evidence))
    if evidence[best] <= margin * evidence[_REACH]:
        return expected
    return expected + best - _REACH


def pitch_evidence(samples: Samples, seconds: float, until: float) -> NDArray[np.float64]:
    """How much each pitch from C3 to C7 speaks after a stroke, 1 for the one that speaks most.

    Args:
        samples: the recording, mono at `RATE`.
        seconds: when it was struck.
        until: when the next stroke is heard.

    Returns:
        Shape (49,), all 0 where there is too little to tell.
    """
    before, start, size = _stretches(samples, seconds, until)
    if not size:
        return np.zeros(HIGHEST_EVIDENCE - LOWEST_EVIDENCE + 1)
    waves = _evidence_waves(size)
    heard = np.hypot(*(waves @ samples[start : start + size]).reshape(2, -1))
    ringing = np.hypot(*(waves @ samples[before : before + size]).reshape(2, -1)) if before >= 0 else 0.0
    tones, upper = np.maximum(heard - ringing, 0.0).reshape(2, -1)
    evidence = tones + _UPPER_SHARE * upper
    return np.asarray(evidence / max(float(evidence.max()), 1e-12), np.float64)


def _stretches(samples: Samples, seconds: float, until: float) -> tuple[int, int, int]:
    """First frames of what is looked at before a stroke and after it, and the length of both; 0 where there is none."""
    # A stroke may be placed a little before the recording begins.
    start = max(0, round(seconds * RATE) + _GAP)
    room = min(round(until * RATE) - _GAP, len(samples)) - start
    size = next((size for size in _WINDOWS if size <= room), 0)
    return round(seconds * RATE) - _GAP - size, start, size


def _partials(samples: Samples | None, expected: int, size: int) -> NDArray[np.float64]:
    """Magnitudes at the fundamentals of the neighbouring pitches and two octaves above them, shape (2, 11)."""
    if samples is None or len(samples) < size:
        return np.zeros((2, 2 * _REACH + 1))
    cosine, sine = (_waves(expected, size) @ samples).reshape(2, -1)
    return np.asarray(np.hypot(cosine, sine).reshape(2, -1) / size, np.float64)


@lru_cache(maxsize=192)
def _waves(expected: int, size: int) -> Samples:
    """Cosines, then sines, of every tone, shape (44, size)."""
    return _tone_waves(np.arange(expected - _REACH, expected + _REACH + 1), size)


@lru_cache(maxsize=3)
def _evidence_waves(size: int) -> Samples:
    return _tone_waves(np.arange(LOWEST_EVIDENCE, HIGHEST_EVIDENCE + 1), size)


def _tone_waves(pitches: NDArray[np.int64], size: int) -> Samples:
    tones = 440.0 * 2 ** ((pitches - 69) / 12)
    tones = np.concatenate([tones, _UPPER * tones])
    tones[tones > 0.45 * RATE] = 0.0
    angles = 2 * np.pi * np.outer(tones, np.arange(size)) / RATE
    shape = np.where(tones > 0, 1.0, 0.0)[:, None] * np.hanning(size)
    return np.concatenate([np.cos(angles) * shape, np.sin(angles) * shape]).astype(np.float32)

"""The score in the same terms as the sound: what rings and what begins at each moment, from the notes alone."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from score.recording.score_moments import NO_PITCH, Floats, ScoreNotes
from score.recording.semitones import HIGHEST, LOWEST, PITCHES, Array, fold
from score.recording.sound_features import decay, unit
from score.recording.unpitched_bands import BANDS, pitch_shares

_ROLLED = 0.6
"""How much a roll without pitch counts against the attack it begins with: its strokes are softer."""


@dataclass(frozen=True, slots=True)
class ScoreFeatures:
    """Features of a run of score frames.

    Attributes:
        chroma, onsets: shape (frames, 12), as those of the sound.
        bands: shape (frames, BANDS).
        struck: shape (frames,): 1 where attacks count, 0 inside rolls.
    """

    chroma: Array
    onsets: Array
    bands: Array
    struck: Array


def score_features(
    notes: ScoreNotes, starts: Floats, ends: Floats, frames: int, rate: float, shares: Array
) -> ScoreFeatures:
    """Features of notes at given seconds.

    Args:
        notes: the notes.
        starts: seconds at which each begins.
        ends: seconds at which each ends.
        frames: how many frames.
        rate: frames a second.
        shares: what each sort of stroke without pitch fills, shape (sorts, BANDS).
    """
    power = np.zeros((frames, PITCHES), np.float32)
    begun = np.zeros((frames, 12), np.float32)
    noisy = np.zeros((frames, BANDS), np.float32)
    rolled = np.zeros_like(noisy)
    shares = unit(shares, 1e-6)
    struck = np.ones(frames, np.float32)
    first = np.round(starts * rate).astype(int)
    last = np.minimum(frames, first + (np.maximum(ends - starts, 0.15) * rate + 0.1 * rate).astype(int) + 1)
    for index in np.flatnonzero((first >= 0) & (first < frames)):
        at, stop, pitch = first[index], last[index], notes.pitch[index]
        if pitch == NO_PITCH:
            noisy[at] = np.maximum(noisy[at], shares[notes.sort[index]])
            if notes.roll[index]:
                rolled[at:stop] = np.maximum(rolled[at:stop], _ROLLED * shares[notes.sort[index]])
            continue
        if notes.roll[index]:
            struck[at + max(1, int(0.1 * rate)) : stop] = 0
        if not LOWEST <= pitch <= HIGHEST:
            continue
        _ring(power[at:stop, pitch - LOWEST], int(pitch), rate, bool(notes.roll[index]))
        begun[at, pitch % 12] += 1
        noisy[at] = np.maximum(noisy[at], pitch_shares(int(pitch)))
    _strike_again(struck, np.asarray(begun.any(axis=1) | noisy.any(axis=1)), rate)
    noisy = unit(noisy, 1e-6)
    decay(noisy, rate)
    np.maximum(noisy, rolled, out=noisy)
    return _set_against(power, begun, noisy, struck=struck, rate=rate)


def _ring(column: Array, pitch: int, rate: float, rolled: bool) -> None:
    """Let a bar ring: low ones longer, rolled ones as long as they are rolled."""
    dies = float(np.clip(1.9 * 2 ** ((60 - pitch) / 12), 0.35, 4)) / 6.9
    shape = np.ones(len(column)) if rolled else np.exp(-np.arange(len(column)) / rate / dies)
    np.maximum(column, shape.astype(np.float32), out=column)


def _strike_again(struck: Array, hit: NDArray[np.bool_], rate: float) -> None:
    """Around every attack attacks count, also while somebody rolls."""
    width = max(1, int(0.12 * rate))
    for frame in np.flatnonzero(hit):
        struck[max(0, frame - width // 2) : frame + width] = 1


def _set_against(power: Array, begun: Array, noisy: Array, *, struck: Array, rate: float) -> ScoreFeatures:
    chroma = fold(np.log1p(30 * power))
    size = np.linalg.norm(chroma, axis=1)
    sounding = size[size > 0]
    least = 0.25 * float(np.median(sounding)) if len(sounding) else 1.0
    begun = unit(begun, 1e-6)
    decay(begun, rate)
    return ScoreFeatures(
        unit(chroma, least),
        begun * struck[:, None],
        bands=noisy * struck[:, None],
        struck=struck,
    )

"""What is listened to in a recording: what sounds, what begins, and how loud it is, over the whole of it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from score.recording.grown_rows import GrownRows
from score.recording.semitones import LONG, MARGIN, PITCHES, SHORT, Array, band_energies, energies, fold, sharp_energy
from score.recording.sound_pieces import RATE, Samples, SoundFacts, mono_blocks
from score.recording.unpitched_bands import BANDS

HeardRows = NDArray[np.floating]
"""Kept in half precision: three hours must not take much."""

HOP, FINE_HOP, SHARP_HOP = 441, 128, 64
"""Frames between moments: 50 a second, 172 where attacks are placed, 345 where their moment is seen."""
FRAME_RATE, FINE_RATE, SHARP_RATE = RATE / HOP, RATE / FINE_HOP, RATE / SHARP_HOP
_PIECE = 8 * HOP * FINE_HOP
"""Frames listened to at once: a whole number of both hops, some twenty seconds."""
_PROBE = 12_288
"""Frames between the moments that are looked at first, for tuning and level."""
_FLOOR = 300.0
_BAND_FLOOR, _SHARP_FLOOR = 1000.0, 100.0
_STEP = 0.04
"""A step of the kept flux: 255 of them reach ten."""
_DIES_SECONDS = 0.10


@dataclass(frozen=True, slots=True)
class SoundFeatures:
    """A recording as it is compared with a score.

    Attributes:
        seconds: its length.
        cents: how far it is from equal temperament at 440 Hz, -50 to 50.
        chroma: shape (frames, 12) at 50 a second, of about unit length.
        onsets: shape (frames, 12): what begins, decaying.
        bands: shape (frames, BANDS): the same by bands of frequencies.
        energy: shape (frames,), of all semitones.
        flux: shape (fine frames, PITCHES) at 172 a second, in steps; by semitone.
        band_flux: shape (fine frames, BANDS), the same by band.
        sharp: shape (sharp frames,) at 345 a second: where attacks of any kind are made.
    """

    seconds: float
    cents: float
    chroma: HeardRows
    onsets: HeardRows
    bands: HeardRows
    energy: Array
    flux: NDArray[np.uint8]
    band_flux: NDArray[np.uint8]
    sharp: NDArray[np.uint8]


def listen(facts: SoundFacts, progress: Callable[[float], None] = lambda share: None) -> SoundFeatures:
    """Listen to a whole recording, in pieces.

    Args:
        facts: the file.
        progress: told the share that is done, 0 to 1.
    """
    cents, levels = _first_look(facts)
    progress(0.1)
    rows = [
        GrownRows(int((facts.seconds + 1) * rate), kind, shape)
        for rate, kind, shape in (
            (FRAME_RATE, "float16", (12,)),
            (FRAME_RATE, "float16", (12,)),
            (FRAME_RATE, "float16", (BANDS,)),
            (FRAME_RATE, "float32", ()),
            (FINE_RATE, "uint8", (PITCHES,)),
            (FINE_RATE, "uint8", (BANDS,)),
            (SHARP_RATE, "uint8", ()),
        )
    ]
    frames = 0
    for sound, before, count in _pieces(facts):
        for kept, heard in zip(rows, _heard(sound, before, count, cents, levels), strict=True):
            kept.add(heard)
        frames += count
        progress(min(1.0, 0.1 + 0.9 * frames / max(1, facts.seconds * RATE)))
    chroma, onsets, bands, energy, flux, band_flux, sharp = (kept.whole for kept in rows)
    size = sizes(chroma)
    chroma /= np.hypot(size, 0.25 * float(np.median(size)) + 1e-6)[:, None]
    for begun in (onsets, bands):
        set_against_loudest(begun)
        decay(begun, FRAME_RATE)
    return SoundFeatures(
        frames / RATE,
        cents,
        chroma,
        onsets=onsets,
        bands=bands,
        energy=energy,
        flux=flux,
        band_flux=band_flux,
        sharp=sharp,
    )


def _pieces(facts: SoundFacts) -> Iterator[tuple[Samples, int, int]]:
    """Sound with its surroundings, where in it the piece begins, and how many frames the piece has."""
    held, before = np.zeros(0, np.float32), 0
    for block in mono_blocks(facts):
        held = np.concatenate([held, block])
        while len(held) >= before + _PIECE + 2 * MARGIN:
            yield held, before, _PIECE
            held, before = held[before + _PIECE - 2 * MARGIN :], 2 * MARGIN
    if len(held) > before:
        yield held, before, len(held) - before


def _first_look(facts: SoundFacts) -> tuple[float, tuple[float, float, float]]:
    """Cents off, and the level of long windows, short windows and bands."""
    peaks: list[Array] = []
    sums: list[Array] = []
    for sound in mono_blocks(facts):
        count = max(0, (len(sound) - 2 * MARGIN) // _PROBE + 1)
        if count < 1 or len(sound) < 2 * MARGIN:
            continue
        peaks += _peaks(sound, count)
        long, short = (energies(sound, MARGIN, _PROBE, count, 0.0, kind).sum(axis=1) for kind in (LONG, SHORT))
        sums.append(np.stack([long, short, band_energies(sound, MARGIN, _PROBE, count).sum(axis=1)]))
    if not sums:
        return 0.0, (1e-12, 1e-12, 1e-12)
    long, short, bands = np.percentile(np.concatenate(sums, axis=1), 95, axis=1) + 1e-12
    return _cents(peaks), (float(long), float(short), float(bands))


def _peaks(sound: Samples, count: int) -> list[Array]:
    """Frequencies and sizes of spectral peaks, shape (peaks, 2), a moment each."""
    from scipy.fft import rfft

    frames = 8192
    low, high = int(100 * frames / RATE), int(2500 * frames / RATE)
    peaks = []
    for start in range(0, count * _PROBE, _PROBE):
        size = np.abs(rfft(sound[start : start + frames] * np.hanning(frames)))
        near = size[low:high]
        top = (near > size[low - 1 : high - 1]) & (near >= size[low + 1 : high + 1]) & (near > 0.05 * near.max())
        at = np.flatnonzero(top) + low
        left, middle, right = (np.log(size[at + shift] + 1e-9) for shift in (-1, 0, 1))
        place = at + 0.5 * (left - right) / (left - 2 * middle + right + 1e-12)
        peaks.append(np.stack([place * RATE / frames, size[at]], axis=1))
    return peaks


def _cents(peaks: list[Array]) -> float:
    """Where in a semitone most of what sounds lies: the mean on the circle."""
    frequency, size = np.concatenate(peaks).T
    if not len(frequency):
        return 0.0
    turn = 2 * np.pi * (12 * np.log2(np.maximum(frequency, 1.0) / 440) % 1)
    return float(np.angle((np.sqrt(size) * np.exp(1j * turn)).sum()) / (2 * np.pi) * 100)


def _heard(sound: Samples, before: int, count: int, cents: float, levels: tuple[float, float, float]) -> list[Array]:
    """The seven arrays of a piece, not yet set against the whole."""
    frames = -(-count // HOP)
    long = energies(sound, before, HOP, frames, cents, LONG)
    short = compressed(energies(sound, before - HOP, HOP, frames + 1, cents, SHORT), levels[1], _FLOOR)
    banded = compressed(band_energies(sound, before - HOP, HOP, frames + 1), levels[2], _BAND_FLOOR)
    fine = -(-count // FINE_HOP)
    begun = compressed(energies(sound, before - 2 * FINE_HOP, FINE_HOP, fine + 4, cents, SHORT), levels[1], _FLOOR)
    noisy = compressed(band_energies(sound, before - 2 * FINE_HOP, FINE_HOP, fine + 4), levels[2], _BAND_FLOOR)
    count_sharp = -(-count // SHARP_HOP)
    squeezed = compressed(
        sharp_energy(sound, before - SHARP_HOP // 2, SHARP_HOP, count_sharp + 1), levels[2] / 16, _SHARP_FLOOR
    )
    return [
        fold(compressed(long, levels[0], _FLOOR)),
        fold(np.maximum(0, np.diff(short, axis=0))),
        np.maximum(0, np.diff(banded, axis=0)),
        long.sum(axis=1),
        np.clip((begun[4:] - begun[:-4]) / _STEP, 0, 255).astype(np.uint8),
        np.clip((noisy[4:] - noisy[:-4]) / _STEP, 0, 255).astype(np.uint8),
        np.clip(np.diff(squeezed) / _STEP, 0, 255).astype(np.uint8),
    ]


def compressed(power: Array, level: float, floor: float) -> Array:
    """Energies as loudness, against the level of the recording; the floor keeps noise from counting."""
    return np.asarray(np.log1p(floor * power / level), np.float32)


def sizes(rows: HeardRows) -> Array:
    """Length of each row."""
    return np.asarray(np.sqrt(np.einsum("td,td->t", rows, rows, dtype=np.float32)), np.float32)


def unit(rows: HeardRows, least: float) -> Array:
    """Rows of unit length, where they are not much shorter than `least`."""
    return np.asarray(rows / np.hypot(sizes(rows), np.float32(least))[:, None], np.float32)


def set_against_loudest(rows: HeardRows) -> None:
    """Every attack at unit length against the largest around it, in place, so that soft ones count as loud ones do."""
    from scipy.ndimage import maximum_filter1d

    size = sizes(rows)
    around = maximum_filter1d(size, int(0.6 * FRAME_RATE))
    share = size / np.maximum(around, 0.15 * np.percentile(size, 98) + 1e-9)
    rows *= (np.clip(1.4 * share - 0.15, 0, 1) / (size + 1e-9))[:, None]


def decay(rows: HeardRows, rate: float) -> None:
    """Let attacks die away in a tenth of a second, in place, so that near misses still meet."""
    keep = np.float32(np.exp(-1 / (_DIES_SECONDS * rate)))
    for before, after in pairwise(rows):
        np.maximum(after, before * keep, out=after)


def shrunk(rows: HeardRows, by: int) -> Array:
    """Means over `by` rows each."""
    count = len(rows) // by
    return np.asarray(rows[: count * by].reshape(count, by, -1).mean(axis=1, dtype=np.float32))

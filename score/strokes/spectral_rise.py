"""How far the spectrum rises from moment to moment: where it does, something was struck.

Log magnitudes in bands of a quarter tone, against the loudest of each band and its neighbours a hundredth of a second
before: a partial that wavers between two bands is no rise (after Böck & Widmer, DAFx 2013; window, hop and bands chosen
for struck instruments).
"""

from collections.abc import Iterator
from functools import cache

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]
"""Mono sound, shape (frames,), at `RATE`."""
Rises = NDArray[np.float32]
"""One value a hop: the mean rise over the bands, natural logarithms."""

RATE = 48_000
"""Frames a second of everything in this room."""
WINDOW, HOP = 1024, 240
HOP_SECONDS = HOP / RATE
LEAD_HOPS = 20
"""Hops of quiet set before a recording."""
LAG = 2
"""Hops between the two moments that are compared."""
LOWEST, HIGHEST = 80.0, 16_000.0
"""Hertz."""
_BANDS_AN_OCTAVE = 24
GAIN = 10.0
_AT_ONCE = 4096


def windows(samples: Samples) -> Iterator[Samples]:
    """Windows of sound, up to 4,096 at once, shape (hops, `WINDOW`); window `LEAD_HOPS` + k ends with hop k.

    The recording's quietest fortieth of a second stands before it, over and over: that it begins is no stroke, and a
    stroke at its very beginning is one.
    """
    padded = np.concatenate([_quiet(samples), samples])
    rows = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP]
    for start in range(0, len(rows), _AT_ONCE):
        yield rows[start : start + _AT_ONCE]


def _quiet(samples: Samples) -> Samples:
    """A tenth of a second and the rest of a window, made of the quietest stretch of the first two seconds."""
    size = LEAD_HOPS * HOP + WINDOW - HOP
    stretch = 5 * HOP
    start = samples[: 2 * RATE]
    count = len(start) // stretch
    if not count:
        return np.zeros(size, np.float32)
    rows = start[: count * stretch].reshape(count, stretch)
    quietest = rows[int(np.argmin(np.square(rows).sum(axis=1)))]
    # There and back, so that no edge stands between two of them.
    return np.resize(np.concatenate([quietest, quietest[::-1]]), size)


def spectra(samples: Samples) -> NDArray[np.float32]:
    """Magnitudes in bands, shape (`LEAD_HOPS` + hops, bands); a partial of amplitude 1 amid its band is 1."""
    parts = [band_magnitudes(rows) for rows in windows(samples)]
    return np.concatenate(parts) if parts else np.zeros((0, band_count()), np.float32)


def band_magnitudes(rows: Samples) -> NDArray[np.float32]:
    """Magnitudes in bands of windows of sound, shape (hops, `WINDOW`)."""
    shaped = rows * _hann()
    magnitudes = np.abs(np.fft.rfft(shaped, axis=1)).astype(np.float32)
    return magnitudes @ _bank()


def rises(bands: NDArray[np.float32], scale: float, floor: NDArray[np.float32] | None = None) -> Rises:
    """The rise at every hop.

    Args:
        bands: magnitudes in bands, shape (hops, bands).
        scale: what counts as loud, in the same units (`loudness`).
        floor: magnitudes something else is expected to have, of the same shape: nothing under them counts.
    """
    gain = np.float32(GAIN / scale)
    rise = np.zeros(len(bands), np.float32)
    # Part by part: an hour in bands is large enough once.
    for start in range(LAG, len(bands), _AT_ONCE):
        part = slice(start - LAG, start + _AT_ONCE)
        levels = np.log1p(gain * bands[part])
        before = neighbour_maximum(levels[:-LAG])
        if floor is not None:
            before = np.maximum(before, np.log1p(gain * floor[part])[LAG:])
        rise[start : start + _AT_ONCE] = np.maximum(levels[LAG:] - before, np.float32(0)).mean(axis=1)
    return rise


def neighbour_maximum(levels: NDArray[np.float32]) -> NDArray[np.float32]:
    """The loudest of each band and the one on either side."""
    loudest = levels.copy()
    np.maximum(loudest[:, 1:], levels[:, :-1], out=loudest[:, 1:])
    np.maximum(loudest[:, :-1], levels[:, 1:], out=loudest[:, :-1])
    return loudest


def loudness(bands: NDArray[np.float32]) -> float:
    """The root mean square over all bands and hops: what a recording scales itself by."""
    return float(np.sqrt(np.mean(np.square(bands, dtype=np.float32)))) if bands.size else 0.0


def vertex(left: float, middle: float, right: float) -> float:
    """How far from the middle one of three values in a row the parabola through them is highest."""
    bend = left - 2 * middle + right
    return 0.5 * (left - right) / bend if bend < 0 else 0.0


def band_count() -> int:
    """How many bands there are."""
    return int(_bank().shape[1])


@cache
def _hann() -> Samples:
    return (np.hanning(WINDOW) * (2 / WINDOW)).astype(np.float32)


@cache
def _bank() -> NDArray[np.float32]:
    """Triangles over the spectrum's bins, shape (bins, bands); where bands are narrower than a bin, each bin is one."""
    steps = np.arange(np.log2(HIGHEST / LOWEST) * _BANDS_AN_OCTAVE + 1) / _BANDS_AN_OCTAVE
    edges = np.unique(np.round(LOWEST * 2**steps * WINDOW / RATE).astype(int))
    bank = np.zeros((WINDOW // 2 + 1, len(edges) - 2), np.float32)
    for band, (low, middle, high) in enumerate(zip(edges, edges[1:], edges[2:], strict=False)):
        bank[low : middle + 1, band] = np.linspace(0, 1, middle - low + 1)
        bank[middle : high + 1, band] = np.linspace(1, 0, high - middle + 1)
    return bank

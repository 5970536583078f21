"""Every moment put on the attack that is heard there, in the semitones and bands it must sound in."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.attack_lags import attack_lags
from score.recording.score_moments import Floats, ScoreNotes
from score.recording.semitones import HIGHEST, LOWEST, Array
from score.recording.sound_features import FINE_RATE, SoundFeatures
from score.strokes.spectral_rise import vertex

_AROUND = 0.6
"""Seconds on each side within which an attack is compared with the strongest."""
_TOGETHER = 0.04
"""Seconds on each side within which strokes are one moment."""
_CLEAR = 0.4
"""Share of the strongest attack around that one must reach to stand out."""
_FARTHEST = 0.9
_SHORTEST_GAP = 0.06


class SnapReach(NamedTuple):
    """How far moments may move.

    Attributes:
        seconds: to each side.
        step: fine frames between places that are tried.
        even: how strongly neighbours hold their distance.
        pull: seconds by which a moment leaves its place at little cost.
    """

    seconds: float
    step: int
    even: float
    pull: float


REACHES = (SnapReach(0.3, 3, 0.5, pull=0.2), SnapReach(0.06, 1, 0.3, pull=0.06))


class HeardIn(NamedTuple):
    """Where a moment's strokes are to be heard.

    Attributes:
        semitones: columns of the flux.
        bands: share of each band for the strokes without pitch, of unit length; empty where there are none.
        strokes: how many sorts of stroke without pitch begin there.
    """

    semitones: NDArray[np.int64]
    bands: Floats
    strokes: int


def heard_in(notes: ScoreNotes, quarters: Floats, shares: Array) -> list[HeardIn]:
    """What is to be heard at each moment, from the notes that begin there."""
    first, last = np.searchsorted(notes.onset, quarters - 1e-6), np.searchsorted(notes.onset, quarters + 1e-6)
    return [_heard_in(notes, slice(a, b), shares) for a, b in zip(first, last, strict=True)]


def _heard_in(notes: ScoreNotes, here: slice, shares: Array) -> HeardIn:
    pitches, sorts = notes.pitch[here], np.unique(notes.sort[here][notes.sort[here] >= 0])
    inside = np.unique(pitches[(pitches >= LOWEST) & (pitches <= HIGHEST)]) - LOWEST
    if not len(sorts):
        return HeardIn(inside, np.zeros(0), 0)
    together = shares[sorts].max(axis=0)
    return HeardIn(inside, np.asarray(together / np.linalg.norm(together), float), len(sorts))


class Attacks:
    """How strongly a moment's own attacks are heard at any time.

    Args:
        sound: the recording.
    """

    def __init__(self, sound: SoundFeatures) -> None:
        every = 1 + len(sound.flux) // 20_000
        semitones, bands = attack_lags(sound)
        self._flux, self._bands = sound.flux, sound.band_flux
        self._late, self._lags = semitones, np.round(semitones * FINE_RATE).astype(int)
        self._band_lag = round(bands * FINE_RATE)
        self._floor = 0.25 * float(np.percentile(sound.flux[::every], 99.5)) + 1e-3
        size = np.linalg.norm(sound.band_flux[::every].astype(np.float32), axis=1)
        self._band_floor = 0.25 * float(np.percentile(size, 99.5)) + 1e-3

    def spectra(self, seconds: Floats) -> Floats:
        """What begins around some moments, by band; shape (moments, bands)."""
        width = int(_TOGETHER * FINE_RATE)
        frames = (seconds * FINE_RATE).astype(int)
        near = [_stretch(self._bands, frame - width, frame + width + 1, slice(None)) for frame in frames.tolist()]
        return np.array([rows.max(axis=0) for rows in near], float).reshape(-1, self._bands.shape[1])

    def evidence(self, where: HeardIn, second: float, times: Floats, step: int = 1) -> Floats:
        """Flux at some times against the strongest around a second, 0 to 1; shape of the times."""
        first = int(min(second - _AROUND, float(times.min())) * FINE_RATE) - step
        last = int(max(second + _AROUND, float(times.max())) * FINE_RATE) + step + 2
        rows = np.round(times * FINE_RATE).astype(int) - first
        heard = np.zeros(len(times))
        for column in where.semitones:
            lag = int(self._lags[column])
            flux = _stretch(self._flux, first + lag, last + lag, column)
            heard += _widened(flux / max(float(flux.max()), self._floor), step)[rows]
        if where.strokes:
            noise = _stretch(self._bands, first + self._band_lag, last + self._band_lag, slice(None))
            loudest = max(float(np.sqrt((noise**2).sum(axis=1).max())), self._band_floor)
            heard += where.strokes * _widened(noise @ where.bands.astype(np.float32) / np.float32(loudest), step)[rows]
        return heard / max(1, len(where.semitones) + where.strokes)

    def clearest(self, column: int, second: float, near: float) -> float | None:
        """When a semitone is struck within some seconds of a moment; None where nothing stands out there."""
        late = float(self._late[column])
        first = round((second + late - _AROUND) * FINE_RATE)
        flux = _stretch(self._flux, first, first + int(2 * _AROUND * FINE_RATE), column)
        times = (first + np.arange(len(flux))) / FINE_RATE - late
        inside = np.flatnonzero(np.abs(times - second) <= near)
        top = int(inside[flux[inside].argmax()])
        if top in (inside[0], inside[-1]) or flux[top] < max(self._floor, _CLEAR * float(flux.max())):
            return None
        return float(times[top] + vertex(*map(float, flux[top - 1 : top + 2])) / FINE_RATE)


def _stretch(flux: NDArray[np.uint8], start: int, stop: int, columns: "int | slice") -> Array:
    """Some frames, which may lie outside, of some columns."""
    inside = flux[max(0, start) : max(0, stop), columns]
    rows = np.zeros((stop - start, *inside.shape[1:]), np.float32)
    rows[max(0, -start) : max(0, -start) + len(inside)] = inside
    return rows


def _widened(heard: Array, step: int) -> Array:
    from scipy.ndimage import maximum_filter1d

    return np.asarray(maximum_filter1d(heard, step)) if step > 1 else heard


def snapped(times: Floats, where: Sequence[HeardIn], attacks: Attacks, reach: SnapReach) -> Floats:
    """Times moved to attacks, so that neighbours do not tear apart: the best way through all of them."""
    if len(times) < 2:
        return times
    width = int(reach.seconds * FINE_RATE / reach.step)
    moves = np.arange(-width, width + 1) * reach.step / FINE_RATE
    heard = np.array(
        [
            attacks.evidence(columns, second, second + moves, reach.step)
            for columns, second in zip(where, times.tolist(), strict=True)
        ]
    )
    heard -= 0.02 * (moves / reach.pull) ** 2
    gaps = np.maximum(_SHORTEST_GAP, np.diff(times, prepend=times[0] - 0.3))
    apart = moves[:, None] - moves[None]
    return times + moves[_best_way(heard, gaps, apart, reach.even)]


def _best_way(heard: Floats, gaps: Floats, apart: Floats, even: float) -> NDArray[np.int64]:
    total, back = heard[0], np.zeros(heard.shape, np.int64)
    for index in range(1, len(heard)):
        bent = apart / gaps[index]
        price = np.where(np.abs(bent) < _FARTHEST, bent**2 / (0.15 + np.abs(bent)), 9) * (0.5 * even)
        choices = total[:, None] - price
        back[index] = choices.argmax(axis=0)
        total = choices.max(axis=0) + heard[index]
    way = np.empty(len(heard), np.int64)
    place = int(total.argmax())
    for index in range(len(heard) - 1, -1, -1):
        way[index], place = place, int(back[index, place])
    return way

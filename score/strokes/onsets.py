"""Onsets in a whole recording: peaks of the spectral rise, and their moments to a fraction of a hop."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.strokes.spectral_rise import HOP, HOP_SECONDS, LEAD_HOPS, RATE, WINDOW, Rises, vertex

RISE_LAG = (WINDOW - HOP) / 2 / RATE + 0.0017
"""Seconds from a stroke to the end of the hop where its rise is highest: half a window, and the sound's bloom."""
FAINT, LIKELY, CLEAR = 0.03, 0.1, 0.15
"""Rises: what may be a stroke where one is expected, what is one where nothing is known, what surely is."""
PAST_SECONDS = 0.1
_APART_SECONDS = 0.025


class Onset(NamedTuple):
    """One onset.

    Attributes:
        seconds: from the beginning of the recording.
        strength: rise of the spectrum over its surroundings.
    """

    seconds: float
    strength: float


def onsets(rise: Rises, least: float = FAINT) -> tuple[Onset, ...]:
    """Every peak of the rise, in order; of peaks within 25 ms the strongest is left.

    Args:
        rise: one value a hop.
        least: rise over the median of the tenth of a second before that counts.
    """
    over = rise - past_median(rise)
    inner = rise[1:-1]
    peaks = 1 + np.flatnonzero((inner >= rise[:-2]) & (inner > rise[2:]) & (over[1:-1] > least))
    kept = thinned(peaks, rise[peaks])
    return tuple(Onset(hop_seconds(peak_place(rise, int(k))), float(over[k])) for k in kept)


def past_median(rise: Rises) -> Rises:
    """Median of the tenth of a second up to each hop."""
    past = round(PAST_SECONDS / HOP_SECONDS)
    padded = np.concatenate([np.zeros(past, np.float32), rise])
    if not len(rise):
        return rise
    rows = np.lib.stride_tricks.sliding_window_view(padded, past + 1)
    return np.asarray(np.median(rows, axis=1), np.float32)


def thinned(peaks: NDArray[np.intp], strengths: NDArray[np.float32]) -> list[int]:
    """Peaks of which none stands within 25 ms of a stronger one, in order: a weak early one hides no real one."""
    apart = _APART_SECONDS / HOP_SECONDS
    kept: list[int] = []
    taken: set[int] = set()
    for index in np.argsort(-strengths, kind="stable"):
        hop = int(peaks[index])
        if not any(near in taken for near in range(hop - int(apart), hop + int(apart) + 1)):
            kept.append(hop)
            taken.add(hop)
    return sorted(kept)


def peak_place(rise: Rises, hop: int) -> float:
    """Where the parabola through a peak and its neighbours is highest, in hops."""
    return hop + vertex(*map(float, rise[hop - 1 : hop + 2]))


def onset_hop(seconds: float) -> int:
    """The hop at which a stroke's rise is highest: the inverse of `hop_seconds`, to the nearest."""
    return round((seconds + RISE_LAG) / HOP_SECONDS - 1 + LEAD_HOPS)


def hop_seconds(hop: float) -> float:
    """The moment of a stroke whose rise is highest at a hop of `spectral_rise.spectra`."""
    return (hop + 1 - LEAD_HOPS) * HOP_SECONDS - RISE_LAG

"""Onsets while the sound comes in: the same rise, block by block, each told within 20 ms of its stroke."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from score.strokes.onsets import LIKELY, PAST_SECONDS, Onset, hop_seconds
from score.strokes.spectral_rise import (
    GAIN,
    HOP,
    HOP_SECONDS,
    LAG,
    LEAD_HOPS,
    WINDOW,
    Samples,
    band_magnitudes,
    neighbour_maximum,
    vertex,
)

_MEMORY_SECONDS = 10.0
_OVER_NOISE = 20.0
_APART_HOPS = 5
_BEGINS = 5
"""Hops in which that the sound begins would look like a stroke."""


class LiveOnsets:
    """Listens to sound as it is recorded.

    Args:
        level: loudness kept from an earlier take of this player and microphone (`score.takes.judged_pass.JudgedPass`
            keeps it); 0 where there is none, then it is taken from what is heard.
        least: rise that counts as a stroke.
    """

    def __init__(self, level: float = 0.0, least: float = LIKELY) -> None:
        self._least, self._kept = least, level
        self._waiting: list[Samples] = []
        self._waits = 0
        self._window = np.zeros(WINDOW, np.float32)
        self._power, self._hops = level**2, 0
        self._bands: deque[NDArray[np.float32]] = deque(maxlen=LAG + 1)
        self._rises: deque[float] = deque(maxlen=round(PAST_SECONDS / HOP_SECONDS) + 1)
        self._told = LEAD_HOPS + _BEGINS

    def fed(self, samples: Samples) -> tuple[Onset, ...]:
        """Onsets that are sure now.

        Args:
            samples: what came in since the last call: any number of frames of one channel, 48,000 a second.
        """
        self._waiting.append(samples)
        self._waits += len(samples)
        if self._waits < HOP:
            return ()
        joined = np.concatenate(self._waiting)
        hops = len(joined) // HOP
        self._waiting, self._waits = [joined[hops * HOP :]], len(joined) - hops * HOP
        told = (self._hop(joined[hop * HOP : (hop + 1) * HOP]) for hop in range(hops))
        return tuple(onset for onset in told if onset is not None)

    def _hop(self, samples: Samples) -> Onset | None:
        self._window = np.concatenate([self._window[HOP:], samples])
        self._bands.append(band_magnitudes(self._window[None])[0])
        self._rises.append(self._rise())
        self._hops += 1
        return self._peak()

    def _rise(self) -> float:
        scale = self._scale()
        if len(self._bands) <= LAG:
            return 0.0
        levels = np.log1p(np.float32(GAIN / scale) * np.stack([self._bands[0], self._bands[-1]]))
        return float(np.maximum(levels[1] - neighbour_maximum(levels[:1])[0], 0).mean())

    def _scale(self) -> float:
        """The kept loudness, or the mean power of the last seconds, begun well over the noise at first."""
        if self._kept:
            return self._kept
        power = float(np.mean(np.square(self._bands[-1])))
        if not self._power:
            self._power = power * _OVER_NOISE**2
        self._power += (power - self._power) * HOP_SECONDS / _MEMORY_SECONDS
        return float(np.sqrt(self._power)) or 1.0

    def _peak(self) -> Onset | None:
        """The hop before this one, where it is higher than its neighbours and well after the last that was told."""
        if len(self._rises) < 3:
            return None
        before, peak, after = self._rises[-3], self._rises[-2], self._rises[-1]
        hop = self._hops - 2 + LEAD_HOPS
        over = peak - float(np.median(list(self._rises)[:-1]))
        if not before <= peak > after or over < self._least or hop - self._told < _APART_HOPS:
            return None
        self._told = hop
        return Onset(hop_seconds(hop + vertex(before, peak, after)), over)

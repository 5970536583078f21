"""A recording as strikes: cut at its beats, each cut made slower when it is needed, joined without a seam.

A cut is rendered from the last attack before it, where phases are the sound's own, so that two neighbours agree where
one fades into the other.
"""

import json
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.playback.recording_file import resampled
from score.playback.slowing import slowed

FILE_RATE = 48_000
"""Frames a second of prepared recordings."""
FADE = 0.005
"""Seconds over which a cut fades into the next, from the beat on: their sum is the sound as it was."""
_MOST_LEAD = 3.0
CONTEXT = 0.06
"""Seconds around a cut, and before an attack, that are rendered with it."""


class RecordedCut(NamedTuple):
    """What of a prepared recording sounds, and how slowly.

    Attributes:
        path: the prepared recording: mono samples at `FILE_RATE` in NumPy's format.
        start, end: seconds in it.
        factor: how many times as long it becomes.
        attacks: seconds of attacks in it, from the last before the start to the first after the end.
    """

    path: str
    start: float
    end: float
    factor: float
    attacks: tuple[float, ...]

    def text(self) -> str:
        """As a strike carries it."""
        return json.dumps([self.path, *(round(value, 6) for value in self[1:4]), [round(a, 6) for a in self.attacks]])


def cut_sound(text: str, rate: int) -> NDArray[np.float32]:
    """The sound of a cut and a fade more; silence where the prepared recording is gone.

    Args:
        text: `RecordedCut.text`.
        rate: frames a second.
    """
    path, start, end, factor, attacks = json.loads(text)
    earlier = [attack for attack in attacks if attack < start - CONTEXT]
    first = max(0.0, start - _MOST_LEAD, (earlier[-1] if earlier else start) - CONTEXT)
    sound = _prepared(path)[round(first * FILE_RATE) : round((end + CONTEXT + FADE) * FILE_RATE)]
    if not len(sound):
        return np.zeros(2, np.float32)
    inside = [attack - first for attack in attacks if first < attack < end + CONTEXT]
    whole = slowed(np.asarray(sound, np.float32), FILE_RATE, factor, inside)
    return resampled(_faded(whole, (start - first) * factor, (end - start) * factor), FILE_RATE, rate)


def _faded(whole: NDArray[np.float32], start: float, seconds: float) -> NDArray[np.float32]:
    fade = round(FADE * FILE_RATE)
    begin, stop = round(start * FILE_RATE), round((start + seconds) * FILE_RATE) + fade
    cut = np.zeros(max(2 * fade, stop - begin), np.float32)
    inside = whole[begin:stop]
    cut[: len(inside)] = inside
    ramp = (np.arange(fade, dtype=np.float32) + 0.5) / fade
    cut[:fade] *= ramp
    cut[-fade:] *= ramp[::-1]
    return cut


@lru_cache(maxsize=4)
def _prepared(path: str) -> NDArray[np.float32]:
    try:
        sound: NDArray[np.float32] = np.load(path, mmap_mode="r", allow_pickle=False)
    except (OSError, ValueError):
        return np.zeros(0, np.float32)
    return sound

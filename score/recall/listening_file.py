"""A sound file of questions: the music, and two pure tones that no instrument of ours makes."""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from score.playback.loudness import evened
from score.playback.mixing import render
from score.playback.sound_file import USUAL_RATES, sound_format, write_sound
from score.recall.listening import Listening

TONES = (880.0, 1320.0)
"""Hertz: a fifth, one after the other."""
_LONG, _APART, _RAMP, _LEVEL = 0.3, 0.36, 0.02, 0.09
"""Seconds of each tone and from one to the next, seconds of their beginnings and ends, and how loud they are."""


def write_listening(path: Path, listening: Listening, title: str) -> int:
    """Write the file; gives back its length in frames.

    Args:
        path: where to; its ending says the format.
        listening: what is heard.
        title: of the file.

    Raises:
        RequestError: no sound format of ours.
        WritingError: the folder or file cannot be written.
    """
    kind = sound_format(path)
    rate = USUAL_RATES[kind]
    music = evened(render(listening.sounds, None, rate), rate)
    pairs = [question.tones for question in listening.questions]
    return write_sound(path, _with_tones(music, pairs, rate), rate, kind, {"title": title})


def _with_tones(
    blocks: Iterable[NDArray[np.float32]], pairs: Sequence[float], rate: int
) -> Iterator[NDArray[np.float32]]:
    """The music with the tones in its silences."""
    pair = _pair(rate)
    starts = [round(seconds * rate) for seconds in pairs]
    frame = 0
    for block in blocks:
        mixed = np.array(block, np.float32)
        for start in starts:
            first, last = max(frame, start), min(frame + len(mixed), start + pair.size)
            if first < last:
                mixed[first - frame : last - frame] += pair[first - start : last - start, None]
        frame += len(mixed)
        yield mixed


def _pair(rate: int) -> NDArray[np.float32]:
    """Both tones, one channel."""
    sound = np.zeros(round((_APART + _LONG) * rate), np.float32)
    count = round(_LONG * rate)
    seconds = np.arange(count) / rate
    ramp = np.clip(np.minimum(seconds, seconds[::-1]) / _RAMP, 0.0, 1.0)
    for number, hertz in enumerate(TONES):
        start = round(number * _APART * rate)
        sound[start : start + count] += (_LEVEL * ramp * np.sin(2 * np.pi * hertz * seconds)).astype(np.float32)
    return sound

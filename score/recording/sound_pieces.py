"""A recording read in pieces: mono at one rate, so that three hours take no more memory than three minutes."""

from collections.abc import Iterator
from math import gcd
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.errors import RequestError
from score.processes import quiet_stderr

Samples = NDArray[np.float32]

RATE = 22_050
"""Frames a second of everything that is listened to."""
LONGEST_SECONDS = 3 * 3600 + 60
SHORTEST_SECONDS = 3.0
_BLOCK_SECONDS = 20
_MOST_FRAMES = 65_536
_FILTER = 12
"""Half the length of the resampling filter, in frames of the lower rate; SciPy's own is 10."""
_OPPOSITE = 0.001
"""Share of one channel's energy that is left of the mean of channels that are each other's opposite."""
_NO_SOUND = "use a WAV, FLAC, MP3 or OGG file"
_VIDEO = (".mp4", ".mov", ".mkv", ".avi", ".webm", ".m4v", ".mpg", ".mpeg", ".wmv")


class SoundFacts(NamedTuple):
    """What a sound file says of itself.

    Attributes:
        path: the file.
        rate: frames a second.
        channels: how many.
        frames: how many it promises; a file that was cut off holds fewer.
    """

    path: Path
    rate: int
    channels: int
    frames: int

    @property
    def seconds(self) -> float:
        """Length it promises."""
        return self.frames / self.rate


def sound_facts(path: Path) -> SoundFacts:
    """Look at a sound file without reading it.

    Raises:
        RequestError: no such file, no sound that can be read, too long or too short.
    """
    import soundfile

    if not path.is_file():
        raise RequestError("No recording", f"{path}: {'a folder' if path.is_dir() else 'no such file'}", _NO_SOUND)
    if path.suffix.lower() in _VIDEO:
        raise RequestError("A film, no recording", str(path.name), "save its sound as WAV, FLAC, MP3 or OGG first")
    try:
        with quiet_stderr():
            info = soundfile.info(str(path))
    except (soundfile.LibsndfileError, OSError) as error:
        raise RequestError(
            "Recording not readable", f"{path.name}: no sound in it that we can read", _NO_SOUND
        ) from error
    facts = SoundFacts(path, info.samplerate, info.channels, frames=info.frames)
    if facts.seconds > LONGEST_SECONDS:
        raise RequestError("Recording too long", f"{path.name}: more than three hours", "cut it in two")
    if facts.seconds < SHORTEST_SECONDS:
        raise RequestError(
            "Recording too short", f"{path.name}: less than {SHORTEST_SECONDS:.0f} seconds", "record more"
        )
    return facts


def mono_blocks(facts: SoundFacts, rate: int = RATE) -> Iterator[Samples]:
    """The whole recording as mono at a rate, in order, some twenty seconds at a time.

    A file that breaks off ends where it breaks off.

    Args:
        facts: the file.
        rate: frames a second that are wanted.

    Yields:
        Shape (frames,); joined they are the recording.
    """
    common = gcd(facts.rate, rate)
    up, down = rate // common, facts.rate // common
    step = down * max(1, _BLOCK_SECONDS * facts.rate // down)
    margin = down * (_FILTER * max(1, down // up + 1) // down + 1)
    held = np.zeros(margin, np.float32)
    for block in _blocks(facts, step):
        held = np.concatenate([held, block])
        while len(held) >= step + 2 * margin:
            yield _resampled(held[: step + 2 * margin], up, down, margin)
            held = held[step:]
    rest = len(held) - margin
    if rest > 0:
        whole = np.concatenate([held, np.zeros(margin + down, np.float32)])
        yield _resampled(whole[: len(held) + margin], up, down, margin)[: rest * up // down]


def sound_stretch(facts: SoundFacts, start: float, end: float, rate: int) -> Samples:
    """Some seconds of a recording as mono at a rate, without reading what lies before; silence where it has ended.

    Args:
        facts: the file.
        start: seconds in it.
        end: the same.
        rate: frames a second that are wanted.
    """
    common = gcd(facts.rate, rate)
    up, down = rate // common, facts.rate // common
    margin = down * (_FILTER * max(1, down // up + 1) // down + 1)
    first, count = round(start * rate), max(0, round(end * rate) - round(start * rate))
    begin = first // up * down - margin
    frames = (first % up + count) // up * down + down + 2 * margin
    sound = np.zeros(frames, np.float32)
    read = _frames(facts, max(0, begin), frames + min(0, begin))
    sound[max(0, -begin) :][: len(read)] = read
    return _resampled(sound, up, down, margin)[first % up :][:count]


def _frames(facts: SoundFacts, first: int, count: int) -> Samples:
    """Frames of the file; fewer where it breaks off."""
    import soundfile

    try:
        with quiet_stderr(), soundfile.SoundFile(str(facts.path)) as file:
            file.seek(min(first, file.frames))
            return _clean(file.read(count, dtype="float32", always_2d=True))
    except (soundfile.LibsndfileError, OSError):
        return np.zeros(0, np.float32)


def _resampled(padded: Samples, up: int, down: int, margin: int) -> Samples:
    if up == down:
        return padded[margin : len(padded) - margin]
    from scipy.signal import resample_poly

    edge = margin * up // down
    sound = np.asarray(resample_poly(padded, up, down), np.float32)
    return sound[edge : len(sound) - edge]


def _blocks(facts: SoundFacts, step: int) -> Iterator[Samples]:
    import soundfile

    try:
        with soundfile.SoundFile(str(facts.path)) as file:
            while True:
                block = file.read(min(step, _MOST_FRAMES), dtype="float32", always_2d=True)
                if not len(block):
                    return
                yield _clean(block)
    except (soundfile.LibsndfileError, OSError):
        return  # it breaks off here; what was read stands


def _clean(block: Any) -> Samples:
    """The mean of the channels; the first where they are each other's opposite, as a cable wired wrongly makes them."""
    sound = np.nan_to_num(np.asarray(block, np.float32), posinf=0.0, neginf=0.0)
    mean = np.asarray(sound.mean(axis=1), np.float32)
    if sound.shape[1] > 1 and float(np.square(mean).sum()) < _OPPOSITE * float(np.square(sound[:, 0]).sum()):
        return sound[:, 0].copy()
    return mean

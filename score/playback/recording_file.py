"""Recordings of somebody playing, read from sound files: mono, at the rate everything is judged at."""

from collections.abc import Iterator
from contextlib import contextmanager
from math import gcd
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.errors import RequestError
from score.processes import quiet_stderr

RATE = 48_000
SLOWEST = 16_000
"""Frames a second under which strokes are too blurred to be timed."""
LONGEST_SECONDS = 2400.0
_CHUNK = 1 << 20
_SOUND = "name a WAV, FLAC, OGG or MP3 file"
FULL_SCALE = 0.9995
"""From here on a sample has reached the end of its scale."""
_CLIPPED_SHARE = 2e-4


class Recording(NamedTuple):
    """A recording.

    Attributes:
        samples: from -1 to 1, shape (frames,) at 48,000 a second, the channels' mean.
        rate: frames a second in the file.
        clips: whether it reaches the end of its scale more often than a few samples.
    """

    samples: NDArray[np.float32]
    rate: int
    clips: bool

    @property
    def seconds(self) -> float:
        """How long it is."""
        return len(self.samples) / RATE


def read_recording(path: Path) -> Recording:
    """A sound file as one channel: WAV, FLAC, OGG or MP3.

    Raises:
        RequestError: the file is not there, is no sound, is empty, too long or recorded too coarsely.
    """
    channels, rate = read_channels(path)
    mono = channels.mean(axis=1, dtype=np.float32) if channels.shape[1] > 1 else channels[:, 0]
    return Recording(resampled(mono, rate), rate, is_clipped(channels))


def is_clipped(samples: NDArray[np.float32]) -> bool:
    """Whether sound reaches the end of its scale more often than a few samples."""
    return bool(samples.size) and float(np.mean(np.abs(samples) >= FULL_SCALE)) > _CLIPPED_SHARE


def read_channels(path: Path) -> tuple[NDArray[np.float32], int]:
    """Every channel of a sound file, shape (frames, channels), and its rate; raises as `read_recording`."""
    with _opened(path) as file:
        blocks = list(file.blocks(_CHUNK, dtype="float32", always_2d=True))
        rate = int(file.samplerate)
    if not blocks:
        raise RequestError("Recording empty", f"{path.name} holds no sound", "record the pass again")
    return np.nan_to_num(np.concatenate(blocks), nan=0.0, posinf=1.0, neginf=-1.0), rate


def check_recording(path: Path) -> None:
    """Whether a sound file can be used, from its head alone; raises as `read_recording`."""
    with _opened(path):
        pass


@contextmanager
def _opened(path: Path) -> Iterator[Any]:
    import soundfile

    if not path.is_file():
        what = "is a folder" if path.is_dir() else "is no file" if path.exists() else "is not there"
        raise RequestError("No such recording", f"{path} {what}", _SOUND)
    try:
        # Decoders write to standard error by themselves.
        with quiet_stderr(), soundfile.SoundFile(path) as file:
            _check(path, file)
            yield file
    except (soundfile.LibsndfileError, OSError, MemoryError) as error:
        raise RequestError("Recording unreadable", f"{path.name} cannot be read as sound", _SOUND) from error


def resampled(samples: NDArray[np.float32], rate: int, wanted: int = RATE) -> NDArray[np.float32]:
    """One channel at another rate; both in frames a second."""
    if rate == wanted:
        return samples
    from scipy.signal import resample_poly

    common = gcd(rate, wanted)
    return np.asarray(resample_poly(samples, wanted // common, rate // common), np.float32)


def _check(path: Path, file: Any) -> None:
    if file.samplerate < SLOWEST:
        what = f"{path.name} has {file.samplerate:,} samples a second"
        raise RequestError("Recorded too coarsely", what, "record at 44,100 or 48,000")
    seconds = file.frames / file.samplerate
    if seconds > LONGEST_SECONDS:
        what = f"{path.name} lasts {seconds / 60:.0f} minutes"
        raise RequestError("Recording too long", what, "cut it to the pass, 40 minutes at the most")

"""Writing and opening sound files: WAV, FLAC, OGG and MP3, tagged, whole or not at all."""

import errno
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from score.errors import RequestError
from score.writing import cannot_write

Block = NDArray[np.float32]

# Name of the file's ending: (libsndfile's format, subtype).
FORMATS = {
    "wav": ("WAV", "PCM_16"),
    "flac": ("FLAC", "PCM_16"),
    "ogg": ("OGG", "VORBIS"),
    "mp3": ("MP3", "MPEG_LAYER_III"),
}
_LITTLE_ROOM = 1 << 16
MOST_FRAMES = 16_000
"""Frames written at once: one call with a minute of OGG Vorbis brings the interpreter down."""

TAGS = ("title", "artist", "album", "tracknumber", "genre", "date", "comment", "copyright", "software")
USUAL_RATES = {"wav": 48_000, "flac": 48_000, "ogg": 48_000, "mp3": 44_100}
"""Frames a second that every player of such files takes; MP3's encoder is the slowest step, so no more than needed."""
_MP3_RATE = 48_000
# As many bits as each moment needs: nearer to the sound than a constant 192 kb/s (38 dB against 30 over the sample's
# tracks), at 110 kb/s and faster.
_MP3 = {"bitrate_mode": "VARIABLE", "compression_level": 0.2}


def write_sound(
    path: Path,
    blocks: Iterable[Block],
    rate: int,
    format: str = "",  # noqa: A002
    tags: Mapping[str, str] | None = None,
) -> int:
    """Write a sound file; returns its length in frames. An old file of that name stays until the new one is whole.

    Args:
        path: the file; its folder is made when it is missing.
        blocks: shape (frames, 2) or (frames,), any sizes, samples from -1 to 1.
        rate: frames a second.
        format: "wav", "flac", "ogg" or "mp3"; the path's ending when "".
        tags: by names of `TAGS`; empty ones are left out.

    Raises:
        RequestError: no such format, or a rate over 48 kHz in MP3.
        WritingError: the folder or file cannot be written.
    """
    kind = sound_format(path, format)
    if kind == "mp3" and rate > _MP3_RATE:
        raise RequestError("Rate too high", f"{path.name}: MP3 ends at 48,000 frames a second", "choose wav or flac")
    unknown = sorted(set(tags or {}) - set(TAGS))
    if unknown:
        raise ValueError(f"no such tags: {unknown}")
    with _whole(path) as part:
        return _write(part, blocks, rate, kind, tags or {}, path)


def sound_format(path: Path, format: str = "") -> str:  # noqa: A002
    """The format that is asked for, or that the path's ending names; `RequestError` when it is none of ours."""
    kind = (format or path.suffix).lower().lstrip(".")
    if kind not in FORMATS:
        raise RequestError("No such sound format", f"{path.name}: {kind or 'no ending'}", f"use {', '.join(FORMATS)}")
    return kind


def _write(part: Path, blocks: Iterable[Block], rate: int, kind: str, tags: Mapping[str, str], path: Path) -> int:
    import soundfile

    pieces = _pieces(blocks)
    first = next(pieces, np.zeros((0, 2), np.float32))
    name, subtype = FORMATS[kind]
    channels = 1 if first.ndim == 1 else first.shape[1]
    frames = 0
    try:
        options: dict[str, Any] = _MP3 if kind == "mp3" else {}
        with soundfile.SoundFile(part, "w", rate, channels, subtype, format=name, **options) as file:
            for tag, text in tags.items():
                if text:
                    setattr(file, tag, text)
            for piece in _then(first, pieces):
                file.write(piece)
                frames += len(piece)
    except (soundfile.LibsndfileError, OSError) as error:
        # The library only says "system error".
        if shutil.disk_usage(part.parent).free < _LITTLE_ROOM:
            raise cannot_write(path, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))) from error
        raise cannot_write(path, error, getattr(error, "error_string", "")) from error
    return frames


def _then(first: Block, rest: Iterator[Block]) -> Iterator[Block]:
    yield first
    yield from rest


def _pieces(blocks: Iterable[Block]) -> Iterator[Block]:
    for block in blocks:
        for start in range(0, len(block), MOST_FRAMES):
            yield block[start : start + MOST_FRAMES]


@contextmanager
def _whole(path: Path) -> Iterator[Path]:
    """A file beside the path that takes its name at the end, when nothing went wrong."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        os.close(handle)
    except OSError as error:
        raise cannot_write(path, error) from error
    part = Path(name)
    try:
        yield part
        _settle(part, path)
    finally:
        part.unlink(missing_ok=True)


def _settle(part: Path, path: Path) -> None:
    try:
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        # mkstemp makes private files; an output should be as readable as any file the user makes.
        mask = os.umask(0)
        os.umask(mask)
        part.chmod(0o666 & ~mask)
        part.replace(path)
    except OSError as error:
        raise cannot_write(path, error) from error

"""Recordings that were listened to before: what was heard is kept, so that the second opening takes no time.

A file of the folder is named by what it follows from: the score's content, the recording's bytes, and what listens
(our own sources). It begins with a signature and the SHA-256 of what follows; whatever is damaged or older is listened
to anew.
"""

import hashlib
from contextlib import suppress
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from score.errors import RequestError, WritingError
from score.kept_files import make_room, signed_content, write_signed
from score.piece import Piece
from score.recording.heard_bars import HeardRecording

ROOM = 100 * 2**20
"""Bytes of the folder at the most; what was used longest ago goes first."""
_SIGNATURE = b"inbreath recording 1\n"
_ENDING = ".heard"


class RecordingStore:
    """What was heard, in a folder; two programs may use it at once.

    Args:
        folder: where it lies; it is made when the first is kept.
        room: bytes the folder holds at the most.
    """

    def __init__(self, folder: Path, room: int = ROOM) -> None:
        self.folder, self.room = folder, room

    def kept(self, key: str) -> HeardRecording | None:
        """What was heard under a key, None where it was not kept or cannot be used."""
        packed = signed_content(self._file(key), _SIGNATURE)
        if packed is None:
            return None
        with suppress(OSError):
            self._file(key).touch()
        try:
            return _unpacked(packed)
        except Exception:  # whatever the library finds wrong: the recording itself is there
            return None

    def keep(self, key: str, heard: HeardRecording) -> None:
        """Keep what was heard; a full disk is no fault: it is listened to again then."""
        packed = _packed(heard)
        with suppress(WritingError, OSError):
            write_signed(self._file(key), _SIGNATURE, packed)
            make_room(self.folder, _ENDING, self.room)

    def _file(self, key: str) -> Path:
        return self.folder / f"{key}{_ENDING}"


def recording_key(piece: Piece, path: Path) -> str:
    """What a recording with a score is kept under: the digest of both and of what listens.

    Raises:
        RequestError: the recording cannot be read.
    """
    return hashlib.sha256("\n".join((piece.digest, sound_digest(path), _listener())).encode()).hexdigest()


def sound_digest(path: Path) -> str:
    """SHA-256 of a recording's bytes in hex; asked again for a file that has not changed, it is not read again.

    Raises:
        RequestError: it cannot be read.
    """
    try:
        status = path.stat()
        return _digest(path, status.st_size, status.st_mtime_ns)
    except OSError as error:
        why = error.strerror or str(error)
        raise RequestError("No recording", f"{path}: {why}", "name a WAV, FLAC, MP3 or OGG file") from error


@lru_cache(maxsize=32)
def _digest(path: Path, size: int, changed: int) -> str:
    """The digest of a file as it was at a moment."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@cache
def _listener() -> str:
    ours = hashlib.sha256()
    for file in sorted(Path(__file__).parent.glob("*.py")):
        ours.update(file.read_bytes())
    return ours.hexdigest()


def _packed(heard: HeardRecording) -> bytes:
    import msgspec

    return msgspec.msgpack.encode(heard, enc_hook=str)


def _unpacked(packed: bytes) -> HeardRecording:
    from fractions import Fraction

    import msgspec

    def rich(kind: type, value: Any) -> object:
        if kind is Fraction and isinstance(value, str):
            return Fraction(value)
        raise TypeError(kind)

    return msgspec.msgpack.Decoder(HeardRecording, dec_hook=rich).decode(packed)

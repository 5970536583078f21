"""What may be made anew, kept in a folder: signed files, used only whole; the oldest go where room is short."""

import hashlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from score.writing import write_atomically

_DIGEST = hashlib.sha256().digest_size


def write_signed(path: Path, signature: bytes, content: bytes) -> None:
    """Write content behind a signature and its SHA-256, whole or not at all.

    Raises:
        WritingError: the folder or file cannot be written.
    """
    write_atomically(path, signature + hashlib.sha256(content).digest() + content)


def signed_content(path: Path, signature: bytes) -> bytes | None:
    """What was written behind a signature; None where it is not there, damaged, foreign or older."""
    try:
        whole = path.read_bytes()
    except OSError:
        return None
    head = len(signature) + _DIGEST
    content = whole[head:]
    return content if whole[:head] == signature + hashlib.sha256(content).digest() else None


def make_room(folder: Path, ending: str, room: int) -> None:
    """Take away the files of an ending that were used longest ago, until the others fill no more than some bytes."""
    total = 0
    for _, size, file in sorted(_sizes(folder, ending), reverse=True):
        total += size
        if total > room:
            with suppress(OSError):
                file.unlink()


def _sizes(folder: Path, ending: str) -> Iterator[tuple[float, int, Path]]:
    for file in folder.glob(f"*{ending}"):
        with suppress(OSError):  # another program may have taken it away
            status = file.stat()
            yield status.st_mtime, status.st_size, file

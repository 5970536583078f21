"""Readings kept between sessions: a score seen before opens at once.

A `Piece` and its packed source lie in one file of a folder, named by what they follow from: the score's raw bytes, the
players of the group's file, the file's stem where no title is printed, and what reads (our own sources, the versions of
the libraries and of Python). The file begins with a signature and the SHA-256 of what follows; whatever is damaged,
foreign or older is read anew and nothing is said. Values are written as MessagePack straight from the types and read
back into them, checked: nothing stored is ever run.
"""

import hashlib
import stat
import sys
import zlib
from collections.abc import Callable
from contextlib import suppress
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import NamedTuple

from score.errors import WritingError
from score.group.group_file import Group
from score.kept_files import make_room, signed_content, write_signed
from score.library_version import library_records
from score.piece import Piece
from score.plain_text import file_stem
from score.reading.collection_pause import collection_paused
from score.reading.reading_result import Reading, Source

LARGEST = 64 * 2**20
"""Bytes of a score beyond which nothing is kept; a larger one is refused by reading anyhow."""
ROOM = 200 * 2**20
"""Bytes of the folder at the most; what was used longest ago goes first."""
_SIGNATURE = b"inbreath reading 1\n"
_ENDING = ".reading"


class _KeptReading(NamedTuple):
    """What one file holds.

    Attributes:
        key: what it follows from, so that a file under another's name is not taken.
        piece: the piece.
        xml: the source document, packed.
        digest: SHA-256 of the source document.
    """

    key: str
    piece: Piece
    xml: bytes
    digest: str


class ReadingStore:
    """Readings in a folder; two programs may use it at once.

    Args:
        folder: where they lie; it is made when the first is kept.
        room: bytes the folder holds at the most.
    """

    def __init__(self, folder: Path, room: int = ROOM) -> None:
        self.folder = folder
        self.room = room

    def find(self, path: Path, group: Group | None = None) -> Reading | None:
        """The reading of a score as it stands now, None where it was not kept or cannot be used."""
        raw = raw_digest(path)
        for stem in ("", file_stem(path)):
            key = raw and _key(raw, stem, group)
            entry = self._entry(key) if key else None
            if entry is not None:
                with suppress(OSError):
                    self._file(entry.key).touch()
                return Reading(entry.piece, Source(path, zlib.decompress(entry.xml), digest=entry.digest))
        return None

    def keep(self, reading: Reading, raw: str, group: Group | None = None) -> None:
        """Keep a reading; a full disk or a folder that cannot be written is no fault: the score is read again then.

        Args:
            reading: what was read.
            raw: `raw_digest` of the file before it was read.
            group: the group's file it was read with.
        """
        path, piece = reading.source.path, reading.piece
        if not raw or raw_digest(path) != raw:
            return  # the file has changed while it was read
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            return
        key = _key(raw, file_stem(path) if piece.is_untitled else "", group)
        packed = _encoded(_KeptReading(key, piece, zlib.compress(reading.source.xml, 1), digest=reading.source.digest))
        with suppress(WritingError, OSError):
            write_signed(self._file(key), _SIGNATURE, packed)
            make_room(self.folder, _ENDING, self.room)

    def _file(self, key: str) -> Path:
        return self.folder / f"{key}{_ENDING}"

    def _entry(self, key: str) -> _KeptReading | None:
        packed = signed_content(self._file(key), _SIGNATURE)
        if packed is None:
            return None
        try:
            with collection_paused():
                entry = _decoder()(packed)
        except Exception:  # whatever the library finds wrong: the score itself is there
            return None
        return entry if entry.key == key else None


def raw_digest(path: Path) -> str:
    """SHA-256 of a file's bytes in hex, "" where it cannot be read, is no file or is larger than any score."""
    try:
        status = path.stat()
        # A pipe or a device may never end.
        if status.st_size > LARGEST or not stat.S_ISREG(status.st_mode):
            return ""
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _key(raw: str, stem: str, group: Group | None) -> str:
    roster = repr(group.players) if group else "()"
    return hashlib.sha256("\n".join((raw, stem, roster, reader_version())).encode()).hexdigest()


@cache
def reader_version() -> str:
    """What reads: our own sources, libraries, Python."""
    root = Path(__file__).parents[1]
    ours = hashlib.sha256()
    for folder in ("reading", "instruments"):
        for file in sorted((root / folder).glob("*.py")):
            ours.update(file.read_bytes())
    for name in ("piece.py", "beats.py", "plain_text.py"):
        ours.update((root / name).read_bytes())
    return "\n".join((ours.hexdigest(), ",".join(library_records("lxml")), sys.version))


def _encoded(entry: _KeptReading) -> bytes:
    import msgspec

    def plain(value: object) -> str:
        if isinstance(value, Fraction):
            return str(value)
        raise TypeError(type(value))

    return msgspec.msgpack.encode(entry, enc_hook=plain)


@cache
def _decoder() -> Callable[[bytes], _KeptReading]:
    import msgspec

    # The same few hundred fractions stand in every bar.
    fraction = lru_cache(16_384)(_fraction)

    def rich(kind: type, value: object) -> object:
        if kind is Fraction and isinstance(value, str):
            return fraction(value)
        raise TypeError(kind)

    return msgspec.msgpack.Decoder(_KeptReading, dec_hook=rich).decode


def _fraction(text: str) -> Fraction:
    numerator, _, denominator = text.partition("/")
    return Fraction(int(numerator), int(denominator or 1))

"""The library's index in SQLite: what was read of each file, kept line by line, so that nothing read is read twice.

It can always be made anew from the scores. One that is damaged, or no index at all, is set aside and begun again.
"""

import hashlib
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from score.errors import WritingError
from score.group.group_file import group_path
from score.library.score_files import ShelvedFile
from score.library.score_work import ScoreLine, WorkLimits
from score.reading.reading_store import reader_version

_TABLE = """CREATE TABLE IF NOT EXISTS line (
    place BLOB PRIMARY KEY, stamp TEXT NOT NULL, digest TEXT NOT NULL, version TEXT NOT NULL, line BLOB NOT NULL)"""
_BY_DIGEST = "CREATE INDEX IF NOT EXISTS line_of ON line (digest, version)"
_ROOMS = ("activity", "chunks", "group", "library", "setup", "time")


class IndexedLine(NamedTuple):
    """A line of the index.

    Attributes:
        line: what was read.
        digest: of the bytes it was read from: the same for copies of one score.
    """

    line: ScoreLine
    digest: str


class LibraryIndex:
    """The open index.

    Args:
        path: the file; its folder is made when missing.

    Raises:
        WritingError: the file cannot be written.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                self._file = _opened(path)
            except sqlite3.DatabaseError as error:
                if isinstance(error, sqlite3.OperationalError):
                    raise
                path.replace(path.with_suffix(".damaged"))
                self._file = _opened(path)
        except (OSError, sqlite3.Error) as error:
            raise _refused(path, error) from error

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def current(self, files: Iterable[ShelvedFile], limits: WorkLimits) -> dict[str, IndexedLine]:
        """What is known of files that have not changed since, by path.

        Args:
            files: as they are now.
            limits: a score that was given up under others is not known.
        """
        versions = (facts_version(), _limited_version(limits))
        rows = self._ask("SELECT place, stamp, digest, version, line FROM line")
        by_place = {row[0]: row for row in rows}
        lines = {}
        for file in files:
            row = by_place.get(_name(file))
            if row is not None and row[1] == file.stamp and row[3] in versions:
                line = _decoded(row[4])
                if line is not None:
                    lines[file.path] = IndexedLine(line._replace(path=file.path), row[2])
        return lines

    def copy_of(self, digest: str, limits: WorkLimits) -> ScoreLine | None:
        """What was read of the same bytes under another name."""
        versions = (facts_version(), _limited_version(limits))
        for (content,) in self._ask(
            "SELECT line FROM line WHERE digest = ? AND version IN (?, ?) LIMIT 1", (digest, *versions)
        ):
            return _decoded(content)
        return None

    def keep(self, file: ShelvedFile, digest: str, line: ScoreLine, limits: WorkLimits) -> None:
        """Keep a line; it is on its way to the disk when this returns.

        Raises:
            WritingError: the disk is full, or the index is held by another program.
        """
        import msgspec

        version = _limited_version(limits) if line.by_limit else facts_version()
        row = (_name(file), file.stamp, digest, version, msgspec.json.encode(line._replace(path="")))
        with self._writing():
            self._file.execute("INSERT OR REPLACE INTO line VALUES (?, ?, ?, ?, ?)", row)

    def forget_missing(self, folder: Path, files: Iterable[ShelvedFile]) -> None:
        """Forget what was in a folder and is there no more."""
        there, below = {_name(file) for file in files}, os.fsencode(folder.absolute() / "x")[:-1]
        places = [place for (place,) in self._ask("SELECT place FROM line")]
        gone = [(place,) for place in places if place.startswith(below) and place not in there]
        with self._writing():
            self._file.executemany("DELETE FROM line WHERE place = ?", gone)

    def _ask(self, question: str, values: tuple[Any, ...] = ()) -> list[Any]:
        try:
            return self._file.execute(question, values).fetchall()
        except sqlite3.Error as error:
            raise _refused(self.path, error) from error

    @contextmanager
    def _writing(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise _refused(self.path, error) from error


def digest_of(file: ShelvedFile) -> str:
    """What a line follows from: the bytes of the score and of the group's file beside it.

    Raises:
        OSError: the score cannot be read.
    """
    digest = hashlib.sha256()
    for path in (file.place, group_path(file.place)):
        if path == file.place or path.is_file():
            with path.open("rb") as content:
                digest.update(hashlib.file_digest(content, "sha256").digest())
    return digest.hexdigest()


@cache
def facts_version() -> str:
    """What reads a score for the library: with other sources every score is read anew."""
    root, ours = Path(__file__).parents[1], hashlib.sha256(reader_version().encode())
    for room in _ROOMS:
        for file in sorted((root / room).glob("*.py")):
            ours.update(file.read_bytes())
    return ours.hexdigest()


def _name(file: ShelvedFile) -> bytes:
    """Whatever bytes a system has in names."""
    return os.fsencode(file.place.absolute())


def _limited_version(limits: WorkLimits) -> str:
    return f"{facts_version()} {limits.seconds:g} {limits.megabytes}"


def _opened(path: Path) -> sqlite3.Connection:
    file = sqlite3.connect(path, timeout=10, isolation_level=None)
    try:
        file.execute("PRAGMA journal_mode=WAL")
        file.execute("PRAGMA synchronous=NORMAL")
        file.execute(_TABLE)
        file.execute(_BY_DIGEST)
        file.execute("SELECT place, stamp, digest, version, line FROM line LIMIT 1")
    except sqlite3.Error:
        file.close()
        raise
    return file


def _decoded(content: bytes) -> ScoreLine | None:
    import msgspec

    with suppress(msgspec.MsgspecError, TypeError, ValueError):
        line: ScoreLine = _decoder()(content)
        return line
    return None


@cache
def _decoder() -> Any:
    import msgspec

    return msgspec.json.Decoder(ScoreLine).decode


def _refused(path: Path, error: Exception) -> WritingError:
    return WritingError(
        "Cannot keep the library", f"{path}: {error}", "free some disk space, or name another file for it"
    )

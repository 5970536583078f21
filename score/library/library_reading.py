"""A folder of scores brought up to date: what is known stays, the rest is read and kept line by line."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from score.errors import ScoreFileError
from score.group.group_file import group_path
from score.library.library_index import IndexedLine, LibraryIndex, digest_of
from score.library.score_facts import ScoreFacts
from score.library.score_files import ShelvedFile, score_files
from score.library.score_work import ReadWork, ScoreLine, ScoreWork, WorkLimits, read_work
from score.library.spreading import Engine, spread
from score.reading.reading_store import LARGEST

CountFiles = Callable[[int, int], None]
"""Told how many of so many files are read; it may raise to stop."""
StartEngine = Callable[[], Engine]


class LibraryEntry(NamedTuple):
    """One score of the library.

    Attributes:
        path: below the folder, with slashes.
        facts: what it holds; None where it was refused.
        refused: why, on one line; "" where it was read.
        also: other names under which the same bytes lie there.
    """

    path: str
    facts: ScoreFacts | None
    refused: str = ""
    also: tuple[str, ...] = ()


class LibraryOptions(NamedTuple):
    """How a folder is read.

    Attributes:
        limits: what one score may take.
        anew: read everything, whatever is known.
        nothing: read nothing; what is known is enough.
    """

    limits: WorkLimits = WorkLimits()
    anew: bool = False
    nothing: bool = False


def read_library(
    folder: Path,
    index: LibraryIndex,
    start: StartEngine,
    options: LibraryOptions,
    count: CountFiles,
    read: ReadWork = read_work,
) -> tuple[LibraryEntry, ...]:
    """Every score below a folder, each once, in order of their paths.

    Args:
        folder: where the scores are.
        index: what is known of them; each line is kept as it comes, so that nothing is lost when this is stopped.
        start: begins the processes that read; asked only where there is something to read.
        options: how.
        count: told how far it is.
        read: what is done with each score, a function of a module.

    Raises:
        RequestError: no such folder, or a cluster that does not answer.
        WritingError: the index cannot be written.
    """
    files = score_files(folder)
    lines = {} if options.anew else index.current(files, options.limits)
    missing = [] if options.nothing else [file for file in files if file.path not in lines]
    if missing:
        lines |= _read(missing, index, start, options, count, read)
    index.forget_missing(folder, files)
    return entries(lines)


def entries(lines: dict[str, IndexedLine]) -> tuple[LibraryEntry, ...]:
    """What is known, copies of one score together."""
    alike: dict[str, list[str]] = {}
    for path in sorted(lines):
        alike.setdefault(lines[path].digest, []).append(path)
    return tuple(
        LibraryEntry(path, lines[path].line.facts, lines[path].line.refused, also=tuple(also))
        for path, *also in alike.values()
    )


def _read(
    files: Sequence[ShelvedFile],
    index: LibraryIndex,
    start: StartEngine,
    options: LibraryOptions,
    count: CountFiles,
    read: ReadWork,
) -> dict[str, IndexedLine]:
    count(0, len(files))
    lines, unread = _at_once(files, index, options)
    leaders = {same[0].path: (digest, same) for digest, same in unread.items()}
    if not leaders:
        return lines
    engine = start()
    try:
        for line in spread((_work(same[0], options.limits) for _, same in leaders.values()), engine, read):
            digest, same = leaders[line.path]
            for file in same:
                lines[file.path] = _kept(file, digest, line, index, options)
            count(len(lines), len(files))
    finally:
        engine.close()
    return lines


def _at_once(
    files: Sequence[ShelvedFile], index: LibraryIndex, options: LibraryOptions
) -> tuple[dict[str, IndexedLine], dict[str, list[ShelvedFile]]]:
    """Lines that need no reading, and the files that do by what they hold: the same bytes are read once."""
    lines: dict[str, IndexedLine] = {}
    unread: dict[str, list[ShelvedFile]] = {}
    for file in files:
        try:
            is_large = file.place.stat().st_size > LARGEST
            digest = f"large {file.stamp}" if is_large else digest_of(file)
        except OSError as error:
            said = ScoreFileError("Cannot be read", f"{file.path}: {error.strerror}", "check who may read it")
            lines[file.path] = _kept(file, file.stamp, _refused(said), index, options)
            continue
        line = _too_large(file) if is_large else None
        if line is None and not options.anew:
            line = index.copy_of(digest, options.limits)
        if line is None:
            unread.setdefault(digest, []).append(file)
        else:
            lines[file.path] = _kept(file, digest, line, index, options)
    return lines, unread


def _kept(file: ShelvedFile, digest: str, line: ScoreLine, index: LibraryIndex, options: LibraryOptions) -> IndexedLine:
    index.keep(file, digest, line, options.limits)
    return IndexedLine(line._replace(path=file.path), digest)


def _work(file: ShelvedFile, limits: WorkLimits) -> ScoreWork:
    return ScoreWork(file.path, _bytes(file.place), _bytes(group_path(file.place)), limits=limits)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _too_large(file: ShelvedFile) -> ScoreLine:
    said = f"{file.path} holds more than {LARGEST // 2**20} MB"
    return _refused(ScoreFileError("Score too large", said, "export the piece by movements"))


def _refused(error: ScoreFileError) -> ScoreLine:
    return ScoreLine("", None, refused=error.line, by_limit=True)

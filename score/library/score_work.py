"""One score read for the library, in whatever process: its bytes come along, a line goes back, whatever it holds."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from score.errors import GroupFileError, InbreathError, ScoreFileError
from score.group.group_file import Group, group_path, read_group
from score.library.score_facts import ScoreFacts, score_facts
from score.library.worker_limits import TooLongError, limited


class WorkLimits(NamedTuple):
    """What one score may take.

    Attributes:
        seconds: of the wall clock.
        megabytes: of memory beyond what the process has.
    """

    seconds: float = 120.0
    megabytes: int = 2048


class ScoreWork(NamedTuple):
    """A score to be read.

    Attributes:
        path: what it is called in the library: below its folder, with slashes.
        content: the file's bytes.
        group: bytes of the group's file beside it; empty without one.
        limits: what it may take.
    """

    path: str
    content: bytes
    group: bytes = b""
    limits: WorkLimits = WorkLimits()

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.path.rpartition("/")[2]


class ScoreLine(NamedTuple):
    """What came of it.

    Attributes:
        path: as in the work.
        facts: what the score holds; None where it was refused.
        refused: why, on one line; "" where it was read.
        by_limit: it was refused for what it took, not for what it holds: with other limits it may be read.
    """

    path: str
    facts: ScoreFacts | None
    refused: str = ""
    by_limit: bool = False


ReadWork = Callable[[ScoreWork], ScoreLine]


def read_work(work: ScoreWork, readings: Path | None = None, scratch: Path | None = None) -> ScoreLine:
    """Read a score within its limits. Nothing is raised but Ctrl-C: whatever goes wrong is the score's line.

    Args:
        work: the score.
        readings: folder of readings kept between sessions, where the process can reach it.
        scratch: folder for the score while it is read; whoever named it clears it when a process has ended over one.
    """
    try:
        with limited(work.limits.seconds, work.limits.megabytes):
            return ScoreLine(work.path, _facts(work, readings, scratch))
    except TooLongError:
        return too_long(work)
    except MemoryError:
        said = ScoreFileError(
            "Too much memory",
            f"{work.name} takes more than {work.limits.megabytes} MB to read",
            "allow it more, or export the piece by movements",
        )
        return ScoreLine(work.path, None, refused=said.line, by_limit=True)
    except InbreathError as error:
        return ScoreLine(work.path, None, refused=error.line)
    except Exception as error:
        said = ScoreFileError("Cannot be read", f"{work.name}: {type(error).__name__} in this program", "report it")
        return ScoreLine(work.path, None, refused=said.line)


def too_long(work: ScoreWork) -> ScoreLine:
    """The line of a score that was given up."""
    said = ScoreFileError(
        "Took too long",
        f"{work.name} was not read within {work.limits.seconds:g} s",
        "allow it more, or export the piece by movements",
    )
    return ScoreLine(work.path, None, refused=said.line, by_limit=True)


def ended_its_process(work: ScoreWork) -> ScoreLine:
    """The line of a score that ended the process that read it, twice, and alone."""
    said = ScoreFileError("Ended the reader", f"{work.name} ends the process that reads it", "export it again")
    return ScoreLine(work.path, None, refused=said.line, by_limit=True)


def _facts(work: ScoreWork, readings: Path | None, scratch: Path | None) -> ScoreFacts:
    # Loaded where the work is done.
    from score.reading import read_score
    from score.reading.reading_store import ReadingStore

    with tempfile.TemporaryDirectory(prefix="inbreath-", dir=scratch) as folder:
        path = Path(folder, work.name)
        path.write_bytes(work.content)
        group, said = _group(path, work.group)
        try:
            kept = ReadingStore(readings).find(path, group) if readings is not None else None
            reading = kept or read_score(path, group)
            return _with_warning(score_facts(reading.piece, group), said)
        except GroupFileError as error:
            return _with_warning(score_facts(read_score(path).piece, Group()), error.line)


def _group(path: Path, content: bytes) -> tuple[Group, str]:
    """The group's file; one that cannot be used is said and left out, for the score is there."""
    if not content:
        return Group(), ""
    beside = group_path(path)
    beside.write_bytes(content)
    try:
        return read_group(beside), ""
    except GroupFileError as error:
        return Group(), error.line


def _with_warning(facts: ScoreFacts, said: str) -> ScoreFacts:
    return facts._replace(warnings=(*facts.warnings, said)) if said else facts

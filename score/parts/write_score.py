"""The score for all players as a file: everybody's staves, with what the group works with written over them.

It is engraved in a process of its own: beside the parts, and so that an engraver that ends over a score ends nothing
else.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

from score.activity.from_group import agreed_marks
from score.chunks.chunk import Chunk
from score.chunks.from_group import chunk_edits
from score.errors import InbreathError
from score.group.group_file import Group, agreed_only
from score.parts.score_jobs import Curve, ScoreJob, ScoreMark, ScoreOptions, ScorePages
from score.parts.score_marks import score_marks
from score.parts.write_parts import PartsPrinting
from score.piece import Piece
from score.plain_text import file_stem
from score.processes import new_process, start_held
from score.reading.reading_result import Reading
from score.time.from_group import pulse_options
from score.writing import write_atomically


class ScoreFile(NamedTuple):
    """The score on disk.

    Attributes:
        pdf: the file.
        page_count: its pages.
        warnings: what a reader should know of the pages.
    """

    pdf: Path
    page_count: int
    warnings: tuple[str, ...]


class ScorePrinting:
    """A score that is being engraved."""

    def __init__(self, reading: Reading, pipe: Connection) -> None:
        self._reading, self._pipe = reading, pipe

    def write(self, folder: Path) -> ScoreFile:
        """Wait for the pages and write them.

        Raises:
            InbreathError: the engraver refuses the score, or the folder cannot be written.
        """
        try:
            pages = self._pipe.recv()
        except (EOFError, OSError) as error:
            raise InbreathError("Cannot engrave", "the engraver ended over the score", "print the parts") from error
        if isinstance(pages, Exception):
            raise pages
        path = write_atomically(folder / f"{file_stem(self._reading.source.path)}-score.pdf", pages.pdf)
        return ScoreFile(path, len(pages.bars), pages.warnings)


@contextmanager
def printing_score(
    reading: Reading, group: Group, options: ScoreOptions, chunks: Sequence[Chunk]
) -> Iterator[ScorePrinting]:
    """Begin to engrave the score; the process ends with the context.

    Args:
        reading: the score.
        group: the group's file.
        options: paper, sizes, and whether the tempo is drawn.
        chunks: where the piece divides.

    Raises:
        GroupFileError: a wish of the group does not fit.
    """
    marks = marks_over(reading.piece, group, chunks)
    curve = Curve(reading.piece, pulse_options(agreed_only(group), reading.piece)) if options.curve else None
    ours, theirs = Pipe(duplex=False)
    process = new_process(_engrave, theirs, reading, options, marks, curve)
    start_held(process)
    theirs.close()
    try:
        yield ScorePrinting(reading, ours)
    finally:
        process.terminate()
        ours.close()


def score_beside(
    parts: PartsPrinting, reading: Reading, group: Group, options: ScoreOptions, chunks: Sequence[Chunk]
) -> ScorePrinting:
    """Have the score engraved beside the parts, by the process that their workers have for it.

    Args:
        parts: which are being made.
        reading: the score.
        group: the group's file.
        options: paper and sizes.
        chunks: where the piece divides.

    Raises:
        GroupFileError: a wish of the group does not fit.
    """
    job = ScoreJob(parts.pickled, reading.source, options, marks=marks_over(reading.piece, group, chunks))
    return ScorePrinting(reading, parts.workers.print_score(job))


def marks_over(piece: Piece, group: Group, chunks: Sequence[Chunk]) -> list[ScoreMark]:
    """What is written over the score: chunks, and what the group has agreed.

    Raises:
        GroupFileError: a wish of the group does not fit.
    """
    agreed = agreed_only(group)
    edits, pulse = chunk_edits(agreed, piece), pulse_options(agreed, piece)
    return score_marks(piece, chunks, edits, pulse, agreed_marks(agreed, piece))


def _engrave(
    pipe: Connection, reading: Reading, options: ScoreOptions, marks: Sequence[ScoreMark], curve: Curve | None
) -> None:
    # Loaded where it runs.
    from score.parts.engraved_score import engraved_score

    answer: ScorePages | Exception
    try:
        answer = engraved_score(reading, options, marks, curve)
    except Exception as error:
        answer = error if isinstance(error, InbreathError) else RuntimeError(repr(error))
    with suppress(OSError):
        pipe.send(answer)

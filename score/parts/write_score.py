"""The score for all players as a file: everybody's staves, with what the group works with written over them."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from score.chunks.chunk import Chunk
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.group.group_file import Group
from score.parts.binding import FirstPage
from score.parts.full_score import full_score
from score.parts.score_marks import score_marks
from score.parts.score_overlay import Curve, written_over
from score.parts.score_pages import ScoreOptions, score_pages
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


def write_score(
    reading: Reading, group: Group, folder: Path, options: ScoreOptions, chunks: Sequence[Chunk] | None = None
) -> ScoreFile:
    """Write the score for all players into the folder.

    Args:
        reading: the score.
        group: the group's file.
        folder: where to.
        options: paper, sizes, and whether the tempo is drawn.
        chunks: where the piece divides, where that is known already.

    Raises:
        InbreathError: a wish of the group does not fit, the engraver refuses the score, the folder cannot be written.
    """
    piece = reading.piece
    edits, pulse = chunk_edits(group, piece), pulse_options(group, piece)
    marks = score_marks(piece, chunks if chunks is not None else divide(piece, edits=edits), edits, pulse)
    curve = Curve(piece, pulse) if options.curve else None
    front = FirstPage(piece.title, "Score", ("Black boxes name the chunks. Slanted letters are the group's own.",))
    pages = score_pages(
        full_score(reading), piece, front, options, lambda system, bars: written_over(system, bars, piece, marks, curve)
    )
    path = write_atomically(folder / f"{reading.source.path.stem}-score.pdf", pages.pdf)
    return ScoreFile(path, len(pages.bars), pages.warnings)

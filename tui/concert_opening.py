"""A concert's file as it is named, and its scores opened, each from the store where it was read before."""

from pathlib import Path
from typing import TYPE_CHECKING

from score.progress import ReportProgress
from tui.kept_scores import KeptScore

if TYPE_CHECKING:
    from score.concert.concert_pieces import ConcertPiece
    from score.concert.concert_values import Concert


def open_concert(path: Path) -> "Concert":
    """The concert that is kept in a file.

    Raises:
        ConcertFileError: it cannot be used.
    """
    from score.concert.concert_file import concert_path, read_concert

    return read_concert(concert_path(path))


def open_pieces(concert: "Concert", progress: ReportProgress | None = None) -> "tuple[ConcertPiece, ...]":
    """Its pieces, read or taken from the store.

    Args:
        concert: its file.
        progress: told which piece is read.

    Raises:
        ConcertFileError: a score is not there, or its people do not fit.
        InbreathError: a score cannot be read.
    """
    from score.concert.concert_pieces import check_scores, concert_pieces

    check_scores(concert)
    opened = []
    for index, entry in enumerate(concert.pieces):
        if progress is not None:
            progress(f"reading {entry.name}", index / len(concert.pieces))
        kept = KeptScore(entry.score)
        opened.append((kept.read(), kept.group))
    return concert_pieces(concert, opened)

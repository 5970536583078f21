"""The players' parts in one call: cues chosen, tight changes marked, pages engraved."""

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from score.cues.engravers import Engravers
from score.cues.paper import Word
from score.cues.parts import PartFiles, PartOptions, ReportProgress, write_parts
from score.group import Group
from score.piece import Piece
from score.reading.result import Reading


def write_all_parts(
    reading: Reading, group: Group, folder: Path, options: PartOptions, workers: Engravers, progress: ReportProgress
) -> tuple[PartFiles, ...]:
    """Write the players' parts; the workers may have begun them.

    Raises:
        InbreathError: a player, a wish of the group or the folder does not fit.
    """
    return write_parts(reading, options, group.cues, folder, workers, progress, partial(_words, group))


def _words(group: Group, piece: Piece) -> Mapping[int, Sequence[Word]]:
    # Loaded in the worker: here the score is being read.
    from score.setup.given import change_words

    return change_words(piece, group)

"""A part made: its MusicXML document and its pages, from the same cues."""

from collections.abc import Sequence

from score.cues.sheet import CueSheet
from score.parts.cued_part import cue_rows
from score.parts.paper import PageOptions, Word
from score.parts.part_jobs import FinishedPart
from score.parts.part_pages import part_pages
from score.parts.uncued_part import UncuedPart
from score.piece import Piece


def make_part(
    uncued: UncuedPart, piece: Piece, sheet: CueSheet, options: PageOptions, words: Sequence[Word] = ()
) -> FinishedPart:
    """A player's part as MusicXML and as pages.

    Args:
        uncued: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        options: of the pages.
        words: small words to print.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """
    rows = cue_rows(piece, sheet)
    return FinishedPart(
        sheet, uncued.own.with_cues(piece.bars, rows), part_pages(uncued, piece, sheet, options, words, rows)
    )

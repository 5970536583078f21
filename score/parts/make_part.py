"""A part made: its MusicXML document and its pages, from the same cues."""

from collections.abc import Sequence

from score.cues.sheet import CueSheet
from score.parts.cued_part import cue_rows
from score.parts.paper import PageOptions, Word
from score.parts.part_jobs import Made
from score.parts.part_pages import part_pages
from score.parts.uncued_part import Blank
from score.piece import Piece


def made_part(blank: Blank, piece: Piece, sheet: CueSheet, options: PageOptions, words: Sequence[Word] = ()) -> Made:
    """A player's part as MusicXML and as pages.

    Args:
        blank: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        options: of the pages.
        words: small words to print.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """
    rows = cue_rows(piece, sheet)
    return Made(sheet, blank.own.with_cues(piece.bars, rows), part_pages(blank, piece, sheet, options, words, rows))

"""A part made: its MusicXML document and its pages, from the same cues."""

from collections.abc import Sequence

from score.activity.agreed_marks import AgreedMark
from score.cues.sheet import CueSheet
from score.parts.agreed_directions import with_directions
from score.parts.agreed_overlay import marks_for
from score.parts.cued_part import cue_rows
from score.parts.paper import PageOptions
from score.parts.part_jobs import FinishedPart
from score.parts.part_pages import part_pages
from score.parts.print_record import LastPrint
from score.parts.uncued_part import UncuedPart
from score.piece import Piece
from score.setup.player_notes import NO_NOTES, PlayerNotes


def make_part(
    uncued: UncuedPart,
    piece: Piece,
    sheet: CueSheet,
    options: PageOptions,
    notes: PlayerNotes = NO_NOTES,
    marks: Sequence[AgreedMark] = (),
    last: LastPrint | None = None,
) -> FinishedPart:
    """A player's part as MusicXML and as pages.

    Args:
        uncued: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        options: of the pages.
        notes: what the part says beside the music.
        marks: what the group has agreed; those of this part are printed.
        last: the last print of this part, as for `part_pages`.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """
    rows = cue_rows(piece, sheet, options.cue_pitches)
    own = marks_for(marks, sheet.player)
    xml = with_directions(uncued.own.with_cues(piece.bars, rows), uncued.own.ids, own)
    return FinishedPart(sheet, xml, part_pages(uncued, piece, sheet, options, notes, rows, own, last))

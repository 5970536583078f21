"""A player's part as the MusicXML document that is written for it."""

from score.cues.sheet import CueSheet, Level
from score.parts.cued_part import cue_rows
from score.parts.document import own_parts
from score.reading.reading_result import Reading


def part_xml(reading: Reading, sheet: CueSheet, pitches: bool = False) -> bytes:
    """The part, UTF-8, with a cue staff (at full one a source) above it."""
    own = own_parts(reading.outline, [sheet.player], sheet.level is Level.FULL)[sheet.player]
    return own.with_cues(reading.piece.bars, cue_rows(reading.piece, sheet, pitches))

"""A player's part with the cue staff above it, made by editing the score's own document.

The player's own `<part>` elements are never touched: they come out element for element as they went in.
Everything that is added stands in parts of its own before them, because readers take barlines, repeats,
endings and breaks from the first part.
"""

from collections.abc import Sequence

from score.cues.sheet import Cue, CueSheet, Level
from score.parts.cue_rhythm import Sign, sounds, spelled, strokes_in
from score.parts.cue_staff import CueBar
from score.parts.document import own_parts
from score.piece import Piece
from score.reading.reading_result import Reading


def part_xml(reading: Reading, sheet: CueSheet) -> bytes:
    """The player's part as a MusicXML document, UTF-8, with a cue staff (at FULL one a source) above it.

    Args:
        reading: the score; its own document is not changed.
        sheet: the player's cues.
    """
    own = own_parts(reading.outline, [sheet.player], sheet.level is Level.FULL)[sheet.player]
    return own.with_cues(reading.piece.bars, cue_rows(reading.piece, sheet))


def cue_rows(piece: Piece, sheet: CueSheet) -> list[list[CueBar]]:
    """What each cue staff holds, bar by bar: one staff, or at FULL one for each other player."""
    if sheet.level is Level.FULL:
        sources = [player.number for player in piece.players if player.number != sheet.player]
        cues = [[cue for cue in sheet.cues if cue.source == number] for number in sources]
    else:
        cues = [list(sheet.cues)]
    return [_row(piece, sheet, line) for line in cues] or [[CueBar()] * len(piece.bars)]


def _row(piece: Piece, sheet: CueSheet, cues: Sequence[Cue]) -> list[CueBar]:
    row = [CueBar() for _ in piece.bars]
    strokes = {source: strokes_in(piece.player(source), len(piece.bars)) for source in {cue.source for cue in cues}}
    for cue in cues:
        labelled = False
        for index in cue.bars:
            bar = piece.bars[index]
            signs = _untied(spelled(sounds(strokes[cue.source][index], bar), bar) or (), cue, index)
            if not signs:
                continue
            label = "" if labelled else piece.player(cue.source).short
            labelled = True
            row[index] = CueBar(tuple(signs), label, _mover(piece, sheet, cue) if index == cue.last else "")
    return row


def _untied(signs: Sequence[Sign], cue: Cue, index: int) -> list[Sign]:
    """A cue's last note is not tied to a bar that is not shown.

    Its first one may be tied in: an open tie says that the note was struck before.
    """
    free = list(signs)
    if free and index == cue.last:
        free[-1] = free[-1]._replace(tie_out=False)
    return free


def _mover(piece: Piece, sheet: CueSheet, cue: Cue) -> str:
    if cue.next_mover is None or sheet.level is Level.FULL:
        return ""
    return "you" if cue.next_mover == sheet.player else piece.player(cue.next_mover).short

"""The words on a part's first page: whose part, on which instruments, and how its cues read."""

from score.cues.sheet import CueSheet, Level
from score.parts.title_block import FirstPage
from score.piece import Piece


def first_page(piece: Piece, sheet: CueSheet) -> FirstPage:
    """Title, player and legend of a player's part."""
    player = piece.player(sheet.player)
    names = list(dict.fromkeys(instrument.name for instrument in player.instruments))
    lines = [f"Instruments: {', '.join(names)}"] if names else []
    return FirstPage(piece.title, player.name, (*lines, *_how_cues_read(piece, sheet)))


def _how_cues_read(piece: Piece, sheet: CueSheet) -> tuple[str, ...]:
    if not sheet.cues:
        return ()
    if sheet.level is Level.FULL:
        others = [player.short for player in piece.players if player.number != sheet.player]
        return (f"Small lines above your staff: the others' rhythms, from the top {', '.join(others)}.",)
    example = next((piece.player(cue.source).short for cue in sheet.cues), "")
    return (
        f"Small notes above your staff: the rhythm of the player named where they begin ({example}). "
        "The arrow says who moves next.",
    )

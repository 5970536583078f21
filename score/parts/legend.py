"""The words on a part's first page: whose part, on which instruments, and how its cues read."""

from collections.abc import Sequence

from score.cues.sheet import CueSheet, Level
from score.parts.cued_part import cue_name
from score.parts.title_block import FirstPage
from score.piece import Piece

_TIES = "A tie from nowhere: still sounding, not struck; a tie to nowhere: it sounds on."


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
        others = [cue_name(player) for player in piece.players if player.number != sheet.player]
        return (f"Small lines above your staff: the rhythms of {_listed(others)}. {_TIES}".replace("..", "."),)
    example = next((cue_name(piece.player(cue.source)) for cue in sheet.cues), "")
    return (
        f"Small notes above your staff: the rhythm of the player named there ({example}). "
        f"The arrow says who moves next. {_TIES}",
    )


def _listed(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else "".join(names)

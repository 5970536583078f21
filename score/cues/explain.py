"""A player's cues with their reasons, as text and as JSON."""

from score.cues.sheet import Cue, CueSheet
from score.piece import Piece
from score.places import bars_name


def explain_text(piece: Piece, sheet: CueSheet) -> str:
    """One line a cue: its bars, who is shown, why, and who moves next; a heading line first."""
    player = piece.player(sheet.player)
    cued = len({bar for cue in sheet.cues for bar in cue.bars})
    count = "1 cue" if len(sheet.cues) == 1 else f"{len(sheet.cues)} cues"
    heading = f"{player.name} ({player.number}): {count} in {cued} of {len(piece.bars)} bars, {sheet.level.value}"
    return "\n".join((heading, *(f"  {line}" for line in _lines(piece, sheet))))


def cues_json(piece: Piece, sheet: CueSheet) -> dict[str, object]:
    """A sheet with stable keys.

    Keys: `player` (number), `level` ("sparse", "usual", "full"), `cues`: `source` (number of the player who
    is shown), `first` and `last` (bar indices from 0, both included), `bars` (as printed, "17-20"), `forced`
    (the group's file asked for it), `reasons`: `rule` (name of the rule), `bar` (index), `text`, `points`;
    `next` (number of the player who moves next, or null).
    """
    return {
        "player": sheet.player,
        "level": sheet.level.value,
        "cues": [_cue_json(piece, cue) for cue in sheet.cues],
    }


def _cue_json(piece: Piece, cue: Cue) -> dict[str, object]:
    reasons = [
        {"rule": reason.rule, "bar": reason.bar, "text": reason.text, "points": reason.weight} for reason in cue.reasons
    ]
    return {
        "source": cue.source,
        "first": cue.first,
        "last": cue.last,
        "bars": bars_name(piece, cue.bars),
        "forced": cue.forced,
        "reasons": reasons,
        "next": cue.next_mover,
    }


def _lines(piece: Piece, sheet: CueSheet) -> list[str]:
    names = [bars_name(piece, cue.bars) for cue in sheet.cues]
    sources = [_called(piece, cue.source) for cue in sheet.cues]
    wide, long = max(map(len, names), default=0), max(map(len, sources), default=0)
    return [
        f"{name:>{wide}}  {source:<{long}}  {_why(piece, sheet, cue)}"
        for name, source, cue in zip(names, sources, sheet.cues, strict=True)
    ]


def _why(piece: Piece, sheet: CueSheet, cue: Cue) -> str:
    reasons = "; ".join(dict.fromkeys(reason.text for reason in cue.reasons))
    if cue.next_mover is None:
        return reasons
    then = "you" if cue.next_mover == sheet.player else _called(piece, cue.next_mover)
    return f"{reasons}. Then {then}"


def _called(piece: Piece, number: int) -> str:
    """A player's short name, with the number where that does not say it."""
    short = piece.player(number).short
    return short if short else f"player {number}"

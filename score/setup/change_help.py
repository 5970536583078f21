"""What would help where the time for a change is short: a free hand, a free player near by, fewer notes."""

from collections.abc import Mapping

from score.piece import Piece, Player, Stroke
from score.places import bar_name

Near = Mapping[int, float]
"""Metres from a player to each other one, by number."""
_BESIDE = 2.5
"""Metres within which another player reaches over (common practice, no source)."""


def help_for_change(piece: Piece, player: Player, leave: Stroke, arrive: Stroke, near: Near) -> str:
    """What would help a change of instrument: one hand, or a player who is free then and near."""
    ways = []
    if len(leave.pitches) < 2 and len(arrive.pitches) < 2:
        ways.append("play the last strokes with one hand while the other reaches over")
    covers = _who_covers(piece, player, leave, arrive, near)
    if covers:
        ways.append(covers)
    if len(ways) < 2:
        ways.append("leave out the last stroke before, or place the instrument within reach of one hand")
    return "; or ".join(ways)


def help_for_mallets(piece: Piece, player: Player, leave: Stroke, arrive: Stroke, near: Near) -> str:
    """What would help a change of mallets."""
    ways = ["lay the new ones ready on the near side"]
    if len(leave.pitches) < 2:
        ways.append("play the last strokes with one hand and take them with the other")
    else:
        ways.append("leave out the last stroke before")
    if len(arrive.pitches) < 2:
        ways.append("begin with one of them")
    covers = _who_covers(piece, player, leave, arrive, near)
    return ", ".join(ways) + (f"; or {covers}" if covers else "")


def _who_covers(piece: Piece, player: Player, leave: Stroke, arrive: Stroke, near: Near) -> str:
    """The nearest player who is free from one stroke to the other, and how far away."""
    others = (other for other in piece.players if other is not player and not _plays(piece, other, leave, arrive))
    free = min(others, key=lambda other: (near.get(other.number, 0.0), other.number), default=None)
    if free is None:
        return ""
    metres = near.get(free.number, 0.0)
    where = "stands near" if metres <= _BESIDE else f"stands {metres:.0f} m away"
    return f"player {free.short}, who is free then and {where}, covers bar {bar_name(piece, arrive.bar)}"


def _plays(piece: Piece, player: Player, leave: Stroke, arrive: Stroke) -> bool:
    """Whether a player has a stroke from one of another's strokes to the end of a later one."""
    start, end = piece.offset(leave.place), piece.offset(arrive.place) + arrive.length
    # Bars first: to compare exact offsets of all strokes would take longer than the whole check.
    near = (s for s in player.strokes if s.bar <= arrive.last_bar and leave.bar <= s.last_bar)
    spans = ((piece.offset(s.place), piece.offset(s.place) + s.length) for s in near)
    return any(first < end and start <= last for first, last in spans)

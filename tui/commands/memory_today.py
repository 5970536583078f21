"""Today by heart as `inbreath memory` says it, from the history of this computer."""

from typing import TYPE_CHECKING

from tui import clock
from tui.own_history import own_history

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece, Player
    from score.takes.heart_day import HeartDay
    from score.takes.heart_passages import LostPassage, PartByHeart


def lost_today(piece: "Piece", group: "Group", player: "Player") -> "tuple[LostPassage, ...]":
    """The passages that come back today.

    Raises:
        InbreathError: the history cannot be opened, or a wish of the group cannot hold.
    """
    from score.takes.heart_day import due_passages

    with own_history() as history:
        return due_passages(_part(piece, group, player), history, clock.today()) if history is not None else ()


def today_by_heart(piece: "Piece", group: "Group", player: "Player") -> "HeartDay":
    """The passages that come back today, and the questions that are due; all are new where there is no history.

    Raises:
        InbreathError: the history cannot be opened, or what the group's file says cannot be.
    """
    from score.plan.from_group import group_concert
    from score.takes.heart_day import first_day, heart_day

    part, concert = _part(piece, group, player), group_concert(group)
    with own_history() as history:
        if history is None:
            return first_day(part, clock.today(), concert)
        return heart_day(part, history, clock.today(), concert)


def _part(piece: "Piece", group: "Group", player: "Player") -> "PartByHeart":
    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from score.takes.heart_passages import PartByHeart

    chunks = divide(piece, edits=chunk_edits(group, piece))
    return PartByHeart(piece, player, [chunk.first for chunk in chunks])

"""The notes of rehearsals that stand in the group's file, with the bars they belong to."""

from typing import NamedTuple

from score.errors import InbreathError
from score.group.group_file import Group, group_tables
from score.piece import Piece
from score.places import find_bar


class RehearsalNote(NamedTuple):
    """A note.

    Attributes:
        bar: index of its bar.
        label: the bar as it is written in the file.
        player: number, 0 for everybody.
        text: as it was written.
    """

    bar: int
    label: str
    player: int
    text: str


def notes_of(piece: Piece, group: Group) -> tuple[RehearsalNote, ...]:
    """Every note whose bar the score has, in the file's order."""
    notes = []
    for table in group_tables(group, "note"):
        try:
            label = table.text("bar")
            who = table.entry.get("player")
            player = who if isinstance(who, int) else 0
            notes.append(RehearsalNote(find_bar(piece, label), label, player, text=table.text("text")))
        except (InbreathError, ValueError):
            continue
    return tuple(notes)


def notes_in(notes: tuple[RehearsalNote, ...], bars: range, player: int = 0) -> tuple[RehearsalNote, ...]:
    """The notes of some bars; of one player with those for everybody, or of all (0)."""
    return tuple(note for note in notes if note.bar in bars and (not player or note.player in (0, player)))

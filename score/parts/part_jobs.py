"""What goes to the workers that make parts, and what comes back."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from score.activity.agreed_marks import AgreedMark
from score.cues.sheet import CueSheet, Level
from score.group.group_file import CueWish
from score.parts.paper import PageOptions, PartPages
from score.parts.print_record import LastPrint
from score.piece import Piece
from score.setup.player_notes import PlayerNotes

FindNotes = Callable[[Piece], Mapping[int, PlayerNotes]]
"""Finds what parts say beside the music, by player's number."""


class Job(NamedTuple):
    """What is the same for all parts of a piece that workers make.

    Attributes:
        piece: the piece, pickled once for all.
        level: how much is cued.
        wishes: of the group, about cues.
        pages: how pages look.
        notes: finds what parts say beside the music.
        marks: what the group has agreed.
        last: the last print of players' parts, by their numbers.
    """

    piece: bytes
    level: Level
    wishes: tuple[CueWish, ...]
    pages: PageOptions
    notes: FindNotes | None = None
    marks: tuple[AgreedMark, ...] = ()
    last: Mapping[int, LastPrint] | None = None


class FinishedPart(NamedTuple):
    """A part that a worker made: its cues, its MusicXML document, its pages."""

    sheet: CueSheet
    xml: bytes
    pages: PartPages

"""What the group's file says of who leads: whoever gives a breath leads its entry, whoever leads bars leads them.

[[lead]]
bars = "25-32"         # these bars; with a beat, the entry on it
player = 3

[[breath]]
bar = "17"
player = 2             # leads the entry

What is only tried counts like what is agreed; what was dropped does not.
"""

from score.errors import InbreathError
from score.following.who_leads import Lead
from score.group.checked_table import Table
from score.group.group_file import Group
from score.piece import Piece
from score.places import find_bars, find_player
from score.time.beat_places import beat_place
from score.time.from_group import kept_tables, table_place


def group_leads(group: Group, piece: Piece) -> tuple[Lead, ...]:
    """Who leads where, entries first: they say more than bars do.

    Raises:
        GroupFileError: no such bar, beat or player.
    """
    entries = [
        Lead(start, start, table.number("player"))
        for table in kept_tables(group, "breath")
        if "player" in table.entry
        for start in (table_place(table, piece),)
    ]
    leads = [*entries, *sorted(_lead(table, piece) for table in kept_tables(group, "lead"))]
    return tuple(sorted(leads, key=lambda lead: lead.end > lead.start))


def _lead(table: Table, piece: Piece) -> Lead:
    try:
        player = find_player(piece, table.number("player")).number
        bars = find_bars(piece, table.text("bars"))
        first, last = piece.bars[bars[0]], piece.bars[bars[-1]]
        if "beat" in table.entry:
            start = piece.offset(beat_place(piece, bars[0], table.figure("beat", 1.0, 1.0, 99.0)))
            return Lead(start, start if len(bars) == 1 else last.start + last.length, player)
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    return Lead(first.start, last.start + last.length, player)

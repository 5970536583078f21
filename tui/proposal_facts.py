"""Entries nobody leads yet: which there are, and the breath or lead that would settle one."""

from score.activity.entry_proposals import EntryProposal, entry_proposals
from score.activity.from_group import check_marks, settled_entries
from score.beats import Place
from score.errors import InbreathError
from score.group.group_file import Group
from score.piece import Piece
from score.places import bar_name
from score.time.beat_places import beat_number
from tui.drawing.proposal_rows import ProposalRow
from tui.trying import MARK_WORDS, MarkTry

_RUNS_ON = ("new tempo", "after the ritardando")
"""Where the pulse does not stop, nobody breathes in: somebody leads."""


def everybodys_sight(piece: Piece, group: Group) -> frozenset[int]:
    """Numbers of the players whom everybody can see in the set-up plan; nobody where it cannot be drawn."""
    from score.setup.setup_check import check
    from score.setup.sight_lines import in_everybodys_sight

    try:
        return in_everybodys_sight(check(piece, group).sights)
    except InbreathError:
        # The set-up screen tells what is wrong with it; who leads can be settled without.
        return frozenset()


def open_entries(piece: Piece, group: Group, in_sight: frozenset[int]) -> tuple[EntryProposal, ...]:
    """The places that the group has not settled, in order; none for one who plays alone.

    Raises:
        GroupFileError: a mark in the group's file that cannot hold.
    """
    if len(piece.players) < 2:
        return ()
    check_marks(group, piece)
    return entry_proposals(piece, settled_entries(group, piece), in_sight)


def entry_mark(piece: Piece, proposal: EntryProposal, giver: int) -> MarkTry:
    """The breath or lead of a giver at a place: a breath where the pulse stands still before it and they strike."""
    place = proposal.place
    strikes = any(stroke.bar == place.bar and stroke.at == place.at for stroke in piece.player(giver).strokes)
    kind = "breath" if strikes and proposal.occasion not in _RUNS_ON else "lead"
    return MarkTry(kind, place, giver)


def place_words(piece: Piece, place: Place) -> str:
    """The bar, and the beat where that is not the first: "bar 41", "bar 55 beat 5"."""
    beat = beat_number(piece, place)
    return f"bar {bar_name(piece, place.bar)}" + (f" beat {beat:g}" if beat != 1 else "")


def proposal_row(piece: Piece, proposal: EntryProposal, giver: int) -> ProposalRow:
    """A place in words, with the giver that was proposed or chosen instead."""
    kind = entry_mark(piece, proposal, giver).kind
    reason = proposal.reason if giver == proposal.leader else f"your choice instead of {proposal.leader}"
    where, name = place_words(piece, proposal.place), piece.player(giver).name
    short = "breath" if kind == "breath" else "leads"
    return ProposalRow(where, proposal.occasion, giver, name=name, short=short, does=MARK_WORDS[kind], reason=reason)


def entry_lines(piece: Piece, group: Group) -> list[str]:
    """What is open, in words: a heading and a line for each place; nothing where somebody leads every entry.

    Raises:
        GroupFileError: a mark in the group's file that cannot hold.
    """
    proposals = open_entries(piece, group, everybodys_sight(piece, group))
    rows = [proposal_row(piece, proposal, proposal.leader) for proposal in proposals]
    lines = [f"  {row.where}, {row.occasion}: {row.name} {row.does}? ({row.reason})" for row in rows]
    return ["Entries without a leader", *lines] if lines else []

"""Whom the others go with at a place: whoever the group says, else whoever is heard and carries the tune there."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.activity.tune import tune_carriers
from score.activity.who_moves import activity
from score.piece import Piece


class Lead(NamedTuple):
    """Somebody leads some bars, or one entry.

    Attributes:
        start, end: quarters from the beginning of the piece, in written order; both the same for an entry.
        player: number of who leads.
    """

    start: Fraction
    end: Fraction
    player: int

    @property
    def is_entry(self) -> bool:
        """Whether it is of one moment only."""
        return self.start == self.end

    def holds(self, offset: Fraction) -> bool:
        """Whether a place belongs to it."""
        return offset == self.start if self.is_entry else self.start <= offset < self.end


class WhoLeads:
    """Who leads where.

    Args:
        piece: the piece.
        leads: the group's, entries first.
        heard: numbers of the players who are heard; never empty.
    """

    def __init__(self, piece: Piece, leads: Sequence[Lead], heard: frozenset[int]) -> None:
        self._leads, self._heard = leads, heard
        self._usual = _usual_leaders(piece, heard) if len(heard) > 1 else {}

    def at(self, offset: Fraction, bar: int) -> int:
        """Number of who leads at a place.

        Args:
            offset: quarters from the beginning of the piece.
            bar: index of the bar.
        """
        lead = next((lead.player for lead in self._leads if lead.holds(offset)), 0)
        return lead or self._usual.get(bar, min(self._heard))

    def gives(self, player: int, offset: Fraction) -> bool:
        """Whether the group has a player give the entry at a place."""
        return any(lead.is_entry and lead.holds(offset) and lead.player == player for lead in self._leads)


def _usual_leaders(piece: Piece, heard: frozenset[int]) -> Mapping[int, int]:
    """For each bar the player who carries the tune, of those who are heard; else the first of them who plays there."""
    facts = activity(piece)
    numbers = [player.number for player in piece.players]
    playing = {number: {s.bar for s in piece.player(number).strokes} for number in heard}
    leaders = {}
    for bar, row in enumerate(tune_carriers(facts)):
        here = [number for number in sorted(heard) if bar in playing[number]]
        carrier = numbers[row] if row is not None else 0
        leaders[bar] = carrier if carrier in here else here[0] if here else min(heard)
    return leaders

"""Where somebody has to give the time and nobody does yet, and who might: proposed, never imposed.

Places are entries made together after a silence, a fermata or a caesura, ends of written ritardandi and changes of
tempo, unless a breath or a lead of the group's is there already. Who is proposed is common practice, no source: whoever
moves first, then whoever has the tune, then whoever everybody can see.
"""

from collections.abc import Collection, Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from score.activity.breath import breath_entries
from score.activity.tune import tune_carriers
from score.activity.who_moves import Activity, activity
from score.beats import Place
from score.piece import Piece
from score.time.beat_places import place_of
from score.time.route import bars
from score.time.stops import written_stops


class EntryProposal(NamedTuple):
    """One place and who might lead there.

    Attributes:
        place: where it is entered.
        occasion: why somebody has to: "after a silence", "after the fermata", "after the ritardando", "new tempo".
        leader: number of the player proposed.
        reason: why this one: "moves first, has the tune".
    """

    place: Place
    occasion: str
    leader: int
    reason: str


def entry_proposals(
    piece: Piece,
    settled: Collection[Fraction] = (),
    in_sight: Collection[int] = (),
) -> tuple[EntryProposal, ...]:
    """Every place that the group has not settled, in order.

    Args:
        piece: the piece.
        settled: where the group has a breath or a lead already, or wants none, quarters from the beginning of the
            piece.
        in_sight: numbers of the players whom everybody can see from where they stand.
    """
    facts = activity(piece)
    carriers = tune_carriers(facts)
    proposals = []
    for offset, occasion in sorted(_occasions(piece).items()):
        place = place_of(piece, offset)
        if offset not in settled:
            leader, reason = _leader(facts, place, carriers[place.bar], in_sight)
            if leader:
                proposals.append(EntryProposal(place, occasion, leader, reason=reason))
    return tuple(proposals)


def _occasions(piece: Piece) -> Mapping[Fraction, str]:
    """What happens where; of several things at one place the one that stops the pulse counts."""
    occasions: dict[Fraction, str] = {}
    for before, tempo in zip(piece.tempi, piece.tempi[1:], strict=False):
        if tempo.quarters_per_minute != before.quarters_per_minute:
            occasions[piece.offset(tempo.place)] = "new tempo"
    for change in piece.tempo_changes:
        end = piece.offset(change.end)
        if change.kind != "accel" and end < piece.length:
            occasions[end] = "after the ritardando"
    whole = bars(piece, range(len(piece.bars)))
    for offset, _ in breath_entries(piece, whole):
        occasions[offset] = "after a silence" if offset else "at the beginning"
    for stop in written_stops(piece):
        if stop.end < piece.length:
            occasions[stop.end] = "after the caesura" if stop.breaks_off else "after the fermata"
    return occasions


def _leader(facts: Activity, place: Place, carrier: int | None, in_sight: Collection[int]) -> tuple[int, str]:
    """Who might lead an entry, and why; 0 where nobody strikes in the bar or the next one."""
    entries = {row: entry for row in range(len(facts.players)) if (entry := _entry(facts, row, place)) is not None}
    if not entries:
        return 0, ""
    moves = {row: _strokes(facts, row, place) for row in entries}
    busiest = [row for row in moves if moves[row] == max(moves.values())]
    first = [row for row in entries if entries[row] == min(entries.values())]

    def reasons(row: int) -> Iterator[str]:
        if first == [row]:
            yield "moves first"
        elif row in first and busiest == [row]:
            yield "moves most in the first bar"
        if row == carrier:
            yield "has the tune"
        if facts.players[row] in in_sight:
            yield "in everybody's sight"

    weights = {"moves first": 4, "moves most in the first bar": 2, "has the tune": 3, "in everybody's sight": 1}
    best = max(first, key=lambda row: (sum(weights[reason] for reason in reasons(row)), -facts.players[row]))
    return facts.players[best], ", ".join(reasons(best)) or "enters with the others"


def _entry(facts: Activity, row: int, place: Place) -> Place | None:
    """A player's first stroke from a place on, in its bar or the next."""
    for bar in range(place.bar, min(place.bar + 2, facts.bars)):
        for at in facts.rows[row][bar].onsets:
            if Place(bar, at) >= place:
                return Place(bar, at)
    return None


def _strokes(facts: Activity, row: int, place: Place) -> int:
    return sum(at >= place.at for at in facts.rows[row][place.bar].onsets)

"""From a concert's file and its opened pieces to what one calendar is made from."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from score.chunks.demands import demands
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.concert.concert_pieces import ConcertPiece, minutes_a_day, playing_people
from score.concert.concert_values import Concert, RehearsalEntry
from score.concert.programme import ConcertEvening, Programme, ProgrammePiece
from score.errors import RequestError
from score.plan.plan_inputs import Material
from score.plan.plan_material import material
from score.plan.plan_tasks import tasks_of

Ready = Mapping[str, Mapping[int, float]]
"""Piece's name to how far the group is with each chunk, 0 to 1, by its index, where that is known."""


class OwnState(NamedTuple):
    """How far somebody is.

    Attributes:
        ready: with each chunk.
        by_heart: person to the minutes a day that go to what they learn by heart.
    """

    ready: Ready = MappingProxyType({})
    by_heart: Mapping[str, int] = MappingProxyType({})


NOTHING_KNOWN = OwnState()


def programme_of(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    today: date,
    changes: Sequence[float],
    own: OwnState = NOTHING_KNOWN,
) -> Programme:
    """Everything the calendar is made from; rehearsals before today are over.

    Args:
        concert: its file.
        pieces: its pieces, opened.
        today: the first day of own practice.
        changes: seconds of the stage change after each piece but the last.
        own: how far somebody is.

    Raises:
        RequestError: there is no date, or no rehearsal is left.
        InbreathError: a wish of a group's file does not fit its score.
    """
    if concert.day is None:
        raise RequestError("No concert", "a plan needs the concert's day", "write date = 2027-03-14 into its file")
    people = playing_people(pieces)
    coming = [entry for entry in concert.rehearsals if entry.start.date() >= today]
    if concert.rehearsals and not coming:
        raise RequestError("No rehearsals", f"all of them were before {today}", "add one to the concert's file")
    return Programme(
        concert.title,
        people,
        tuple(_piece(piece, people, own.ready.get(piece.name)) for piece in pieces),
        evenings=tuple(_evening(entry, people) for entry in coming),
        concert=concert.day,
        today=today,
        minutes_a_day=tuple(minutes_a_day(concert, pieces, name) for name in people),
        visits=concert.visits,
        set_up=concert.set_up,
        changes=tuple(changes),
        by_heart=tuple(own.by_heart.get(name, 0) for name in people),
    )


def _piece(piece: ConcertPiece, people: Sequence[str], ready: Mapping[int, float] | None) -> ProgrammePiece:
    edits = chunk_edits(piece.group, piece.piece)
    chunks = divide(piece.piece, edits=edits)
    materials = material(piece.piece, chunks, demands(piece.piece, chunks, edits), ready)
    numbers = {number: people.index(name) for number, name in piece.people}
    renamed = tuple(_for_people(each, numbers) for each in materials)
    return ProgrammePiece(piece.name, renamed, tasks_of(renamed), people=frozenset(numbers.values()))


def _for_people(chunk: Material, numbers: Mapping[int, int]) -> Material:
    own = tuple((numbers[player], figure) for player, figure in chunk.own)
    return replace(chunk, own=own, needed=tuple(sorted(numbers[player] for player in chunk.needed)))


def _evening(entry: RehearsalEntry, people: Sequence[str]) -> ConcertEvening:
    names = {name: index for index, name in enumerate(people)}
    # Somebody may be named who plays nothing any more.
    late = tuple((names[name], minutes) for name, minutes in entry.late if name in names)
    leaves = tuple((names[name], minutes) for name, minutes in entry.leaves if name in names)
    missing = frozenset(names[name] for name in entry.missing if name in names)
    return ConcertEvening(entry.start, entry.minutes, missing, late=late, leaves=leaves)

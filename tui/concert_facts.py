"""What the screens say of a concert, gathered for their pictures: its pieces, the calendar, today over all pieces."""

from collections.abc import Mapping
from datetime import date
from itertools import zip_longest
from typing import NamedTuple

from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_setup import ConcertSetup, concert_setup
from score.concert.concert_values import USUAL_MINUTES, Concert
from score.concert.person_sheet import part_number
from score.concert.programme_plan import ProgrammePlan
from score.plan.today import today_slots
from score.takes.history import History, Standing
from tui.concert_opening import open_pieces
from tui.concert_planning import plan_pieces
from tui.planning import work_with
from tui.session import StandChunk, chunks_of

PLANNING_SECONDS = 5.0
"""How long a screen looks for a better calendar."""

Standings = Mapping[tuple[int, int], Standing]
"""(piece, chunk) to where one stands with it, where it was practised."""


class ConcertFacts(NamedTuple):
    """A concert opened.

    Attributes:
        concert: its file.
        pieces: opened.
        chunks: of each piece.
        setup: its stages.
        plan: its calendar, None where it has none yet.
    """

    concert: Concert
    pieces: tuple[ConcertPiece, ...]
    chunks: tuple[tuple[StandChunk, ...], ...]
    setup: ConcertSetup
    plan: ProgrammePlan | None


class ConcertSlot(NamedTuple):
    """A few minutes with one chunk of one piece.

    Attributes:
        piece, chunk: positions.
        minutes: how long.
        is_done: it was practised today already.
    """

    piece: int
    chunk: int
    minutes: int
    is_done: bool


def concert_facts(concert: Concert, history: History, person: str, today: date) -> ConcertFacts:
    """The concert opened and planned; takes some seconds.

    Args:
        concert: its file.
        history: the player's own, for how far the chunks are.
        person: who the player is, "" where that was not said.
        today: rehearsals before it are over.

    Raises:
        InbreathError: a score, a date, the hall or a name does not fit.
    """
    pieces = open_pieces(concert)
    chunks = tuple(chunks_of(piece.piece, piece.group) for piece in pieces)
    setup = concert_setup(concert, pieces)
    standings = standings_of_concert(pieces, chunks, history, person)
    ready: dict[str, dict[int, float]] = {}
    for (piece, chunk), standing in standings.items():
        ready.setdefault(pieces[piece].name, {})[chunk] = standing.readiness.share
    plan = plan_pieces(concert, pieces, setup, today, PLANNING_SECONDS, ready=ready)
    return ConcertFacts(concert, pieces, chunks, setup=setup, plan=plan)


def standings_of_concert(
    pieces: tuple[ConcertPiece, ...], chunks: tuple[tuple[StandChunk, ...], ...], history: History, person: str
) -> Standings:
    """Where a person stands with every chunk that they have practised here."""
    standings = {}
    for position, (piece, parts) in enumerate(zip(pieces, chunks, strict=True)):
        number = part_number(piece, person)
        if number is None:
            continue
        for index, part in enumerate(parts):
            standing = history.standing(piece.piece.digest, number, part.chunk.bars)
            if standing is not None:
                standings[position, index] = standing
    return standings


def today_of(facts: ConcertFacts, history: History, person: str, today: date) -> tuple[ConcertSlot, ...]:
    """Today's chunks of all pieces: from the calendar, or without one what is most urgent of each in turn."""
    standings = standings_of_concert(facts.pieces, facts.chunks, history, person)
    done = {key for key, standing in standings.items() if standing.at.astimezone().date() == today}
    slots = _planned(facts, person, today) if facts.plan is not None else _unplanned(facts, standings, person, today)
    return tuple(ConcertSlot(piece, chunk, minutes, is_done=(piece, chunk) in done) for piece, chunk, minutes in slots)


def _planned(facts: ConcertFacts, person: str, today: date) -> list[tuple[int, int, int]]:
    plan = facts.plan
    if plan is None or person not in plan.programme.people:
        return []
    number = plan.programme.people.index(person)
    days = [day for work in plan.own if work.player == number for day in work.days if day.day == today]
    return [(*plan.chunk_of(slot.chunk), slot.minutes) for day in days for slot in day.slots]


def _unplanned(facts: ConcertFacts, standings: Standings, person: str, today: date) -> list[tuple[int, int, int]]:
    lists = []
    for position, (piece, chunks) in enumerate(zip(facts.pieces, facts.chunks, strict=True)):
        number = part_number(piece, person)
        if number is not None:
            work = [
                work_with(part.asked.own(number), part, standings.get((position, index)))
                for index, part in enumerate(chunks)
            ]
            slots = today_slots(work, today, None, number)
            lists.append([(position, slot.chunk, slot.minutes) for slot in slots])
    chosen, left = [], USUAL_MINUTES
    for slot in (slot for turn in zip_longest(*lists) for slot in turn if slot is not None):
        if slot[2] <= left:
            chosen.append(slot)
            left -= slot[2]
    return chosen

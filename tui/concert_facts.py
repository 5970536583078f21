"""What the screens say of a concert, gathered for their pictures: its pieces, the calendar, today over all pieces."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from score.concert.concert_pieces import ConcertPiece, minutes_a_day
from score.concert.concert_setup import ConcertSetup, concert_setup
from score.concert.concert_today import ConcertHeart, shared_out
from score.concert.concert_values import Concert
from score.concert.person_sheet import part_number
from score.concert.programme_plan import ProgrammePlan
from score.places import bars_words
from score.plan.today import today_slots
from score.takes.heart_day import PASSAGE_MINUTES, minutes_of
from score.takes.history import History
from tui.concert_opening import open_pieces
from tui.concert_own import (
    Chunks,
    Standings,
    chunks_of_concert,
    heart_today,
    minutes_by_heart,
    own_state,
    standings_of_concert,
)
from tui.concert_planning import plan_pieces
from tui.planning import work_with
from tui.practice_start import PracticeStart

PLANNING_SECONDS = 5.0
"""How long a screen looks for a better calendar."""


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
    chunks: Chunks
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


class ConcertToday(NamedTuple):
    """Today over all pieces.

    Attributes:
        slots: its chunks.
        heart: what was lost by heart and comes back, and questions that are due.
    """

    slots: tuple[ConcertSlot, ...] = ()
    heart: ConcertHeart = ConcertHeart()


def concert_facts(concert: Concert, history: History, person: str, today: date) -> ConcertFacts:
    """The concert opened and planned; takes some seconds.

    Args:
        concert: its file.
        history: the player's own, for how far the chunks are and what is learnt by heart.
        person: who the player is, "" where that was not said.
        today: rehearsals before it are over.

    Raises:
        InbreathError: a score, a date, the hall or a name does not fit.
    """
    pieces = open_pieces(concert)
    chunks = chunks_of_concert(pieces)
    setup = concert_setup(concert, pieces)
    own = own_state(pieces, chunks, history, person)
    plan = plan_pieces(concert, pieces, setup, today, PLANNING_SECONDS, own)
    return ConcertFacts(concert, pieces, chunks, setup=setup, plan=plan)


def today_of(facts: ConcertFacts, history: History, person: str, today: date) -> ConcertToday:
    """Today over all pieces: chunks from the calendar, or without one what is most urgent of each in turn; by heart."""
    standings = standings_of_concert(facts.pieces, facts.chunks, history, person)
    done = {key for key, standing in standings.items() if standing.at.astimezone().date() == today}
    heart = heart_today(facts.concert, facts.pieces, facts.chunks, history, person, today)
    if facts.plan is not None:
        slots = _planned(facts, person, today)
    else:
        minutes = minutes_a_day(facts.concert, facts.pieces, person)
        minutes -= minutes_by_heart(facts.pieces, history, person)
        slots = _unplanned(facts, standings, person, today, minutes)
    chunks = (ConcertSlot(piece, chunk, minutes, is_done=(piece, chunk) in done) for piece, chunk, minutes in slots)
    return ConcertToday(tuple(chunks), heart)


def today_start(today: ConcertToday) -> tuple[int, PracticeStart] | None:
    """The piece of what is next today, and how it is begun; None where nothing is left."""
    left = [slot for slot in today.slots if not slot.is_done]
    if today.heart.passages:
        piece, passage = today.heart.passages[0]
        return piece, PracticeStart(chunks=_of_piece(left, piece), passage=passage)
    if left:
        return left[0].piece, PracticeStart(chunks=_of_piece(left, left[0].piece))
    if today.heart.questions:
        piece, questions = today.heart.questions[0]
        return piece, PracticeStart(questions=questions)
    return None


def _of_piece(slots: Sequence[ConcertSlot], piece: int) -> tuple[int, ...]:
    return tuple(slot.chunk for slot in slots if slot.piece == piece)


def today_entries(facts: ConcertFacts, today: ConcertToday) -> list[tuple[str, int, bool]]:
    """What today holds, in the order it is done: (what, minutes, done)."""
    pieces = facts.pieces
    lost = [
        (f"{pieces[piece].name} {bars_words(pieces[piece].piece, passage.bars)} by heart", PASSAGE_MINUTES, False)
        for piece, passage in today.heart.passages
    ]
    chunks = [
        (f"{pieces[slot.piece].name} {facts.chunks[slot.piece][slot.chunk].chunk.name}", slot.minutes, slot.is_done)
        for slot in today.slots
    ]
    asked = [
        (f"{pieces[piece].name} questions", minutes_of(len(questions)), False)
        for piece, questions in today.heart.questions
    ]
    return [*lost, *chunks, *asked]


def _planned(facts: ConcertFacts, person: str, today: date) -> list[tuple[int, int, int]]:
    plan = facts.plan
    if plan is None or person not in plan.programme.people:
        return []
    number = plan.programme.people.index(person)
    days = [day for work in plan.own if work.player == number for day in work.days if day.day == today]
    return [(*plan.chunk_of(slot.chunk), slot.minutes) for day in days for slot in day.slots]


def _unplanned(
    facts: ConcertFacts, standings: Standings, person: str, today: date, minutes: int
) -> list[tuple[int, int, int]]:
    days = {}
    for position, (piece, chunks) in enumerate(zip(facts.pieces, facts.chunks, strict=True)):
        number = part_number(piece, person)
        if number is not None:
            work = [
                work_with(part.asked.own(number), part, standings.get((position, index)))
                for index, part in enumerate(chunks)
            ]
            days[position] = today_slots(work, today, None, number, minutes)
    return [(piece, slot.chunk, slot.minutes) for piece, slot in shared_out(days, minutes)]

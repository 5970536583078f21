"""What somebody does today over all pieces: the minutes of a day are shared out among them, a piece in its turn."""

from collections.abc import Mapping, Sequence
from itertools import chain, zip_longest
from typing import NamedTuple, TypeVar

from score.memory.question import Question
from score.plan.today import TodaySlot
from score.takes.heart_day import MOST_PASSAGES, HeartDay, questions_beside
from score.takes.heart_passages import LostPassage

_Entry = TypeVar("_Entry")


class ConcertHeart(NamedTuple):
    """A day's work by heart over all pieces, ten minutes in all as for one piece alone.

    Attributes:
        passages: (piece's position, what was lost and comes back), a piece in its turn.
        questions: (piece's position, those that are due), of pieces that have any.
    """

    passages: tuple[tuple[int, LostPassage], ...] = ()
    questions: tuple[tuple[int, tuple[Question, ...]], ...] = ()


def concert_heart(days: Mapping[int, HeartDay]) -> ConcertHeart:
    """The day's work by heart over all pieces.

    Args:
        days: each piece's own, by its position.
    """
    played, asked = sum(day.played for day in days.values()), sum(day.asked for day in days.values())
    passages = _in_turn([[(piece, passage) for passage in day.passages] for piece, day in days.items()])
    passages = passages[: max(0, MOST_PASSAGES - played)]
    room = max(0, questions_beside(len(passages) + played) - asked)
    questions = _in_turn([[(piece, question) for question in day.questions] for piece, day in days.items()])[:room]
    by_piece = ((piece, tuple(question for of, question in questions if of == piece)) for piece in days)
    return ConcertHeart(tuple(passages), tuple((piece, mine) for piece, mine in by_piece if mine))


def shared_out(pieces: Mapping[int, Sequence[TodaySlot]], minutes: int) -> tuple[tuple[int, TodaySlot], ...]:
    """As much of every piece's own day as goes into one day's minutes: (piece's position, its chunk).

    Args:
        pieces: each piece's own day, by its position.
        minutes: of the day.
    """
    chosen = []
    for piece, slot in _in_turn([[(piece, slot) for slot in slots] for piece, slots in pieces.items()]):
        if slot.minutes <= minutes:
            chosen.append((piece, slot))
            minutes -= slot.minutes
    return tuple(chosen)


def _in_turn(lists: Sequence[Sequence[_Entry]]) -> list[_Entry]:
    """One of each list, then the next of each."""
    return [entry for entry in chain.from_iterable(zip_longest(*lists)) if entry is not None]

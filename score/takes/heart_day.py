"""What a player has to do by heart today: passages that were lost first, then questions, ten minutes in all."""

from collections.abc import Mapping, Sequence
from datetime import date
from math import ceil
from typing import NamedTuple

from score.memory.question import Question
from score.memory.question_round import all_questions
from score.memory.when_to_ask import due_day, due_questions
from score.piece import Piece
from score.takes.heart_passages import LostPassage, PartByHeart
from score.takes.history import History

A_ROUND = 30
"""Questions a day at the most."""
MINUTES = 10
"""What they take."""
PASSAGE_MINUTES, MOST_PASSAGES = 2, 4
"""What a passage takes of these minutes, and how many come back on one day at the most."""
_Days = Mapping[str, Sequence[tuple[date, bool]]]
"""Ids of questions and keys of bars, and on what day each was answered, rightly or not."""


class HeartDay(NamedTuple):
    """A day's work by heart.

    Attributes:
        passages: those that come back today, the longest due first.
        questions: those that are due, at most what the rest of the minutes takes.
        asked: how many questions were answered today already.
        played: how many passages were played today already.
    """

    passages: tuple[LostPassage, ...]
    questions: tuple[Question, ...]
    asked: int = 0
    played: int = 0

    @property
    def passage_minutes(self) -> int:
        """Minutes the passages take."""
        return PASSAGE_MINUTES * len(self.passages)

    @property
    def question_minutes(self) -> int:
        """Minutes the questions still take, nothing when a round has been answered."""
        room = questions_beside(len(self.passages) + self.played)
        left = min(len(self.questions), room - self.asked)
        return minutes_of(max(0, left))


def questions_beside(passages: int) -> int:
    """How many questions a day takes beside so many passages."""
    return A_ROUND * max(0, MINUTES - PASSAGE_MINUTES * passages) // MINUTES


def minutes_of(questions: int) -> int:
    """Minutes that so many questions take."""
    return ceil(MINUTES * questions / A_ROUND)


def heart_day(part: PartByHeart, history: History, today: date, concert: date | None) -> HeartDay:
    """What is due today; takes up to some seconds.

    Args:
        part: the player's part.
        history: the player's own.
        today: the day.
        concert: the concert's day, None when it is not known.
    """
    return _day_of(part, _days(history, part.player.number), today, concert)


def first_day(part: PartByHeart, today: date, concert: date | None) -> HeartDay:
    """The day of whoever has no history yet."""
    return _day_of(part, {}, today, concert)


def _day_of(part: PartByHeart, days: _Days, today: date, concert: date | None) -> HeartDay:
    questions = all_questions(part.piece, part.player)
    ids = {question.id for question in questions}
    asked = sum(day == today for id_, answers in days.items() if id_ in ids for day, _ in answers)
    passages, played = _due_passages(part, days, today), _played(part, days, today)
    many = questions_beside(len(passages) + played)
    due = due_questions(questions, days, today, concert, many)
    return HeartDay(passages, due, asked=asked, played=played)


def due_passages(part: PartByHeart, history: History, today: date) -> tuple[LostPassage, ...]:
    """The passages that come back today, the longest due first; quicker than the whole day."""
    return _due_passages(part, _days(history, part.player.number), today)


def _due_passages(part: PartByHeart, days: _Days, today: date) -> tuple[LostPassage, ...]:
    # None comes back twice a day, whatever became of it.
    open_today = {bar: days[key] for bar, key in enumerate(part.keys) if key in days and days[key][-1][0] < today}
    due = {bar: day for bar, answers in open_today.items() if (day := due_day(answers)) <= today}
    passages = part.passages(due)
    ordered = sorted(passages, key=lambda passage: min(due[bar] for bar in passage.bars if bar in due))
    return tuple(ordered[:MOST_PASSAGES])


def _played(part: PartByHeart, days: _Days, today: date) -> int:
    """How many passages of earlier days were played today."""
    bars = [bar for bar, key in enumerate(part.keys) if key in days and days[key][0][0] < today == days[key][-1][0]]
    return len(part.passages(bars))


def planned_minutes(piece: Piece, player: int, history: History) -> int:
    """Minutes a day that a plan sets aside: all of them, once the player has worked on the piece by heart."""
    return MINUTES if history.recall(_name(piece, player)) else 0


def begin(piece: Piece, player: int, history: History) -> None:
    """Remember that the player works on the piece by heart."""
    if not planned_minutes(piece, player, history):
        history.remember(_name(piece, player), "yes")


def _name(piece: Piece, player: int) -> str:
    # A corrected score is another file and the same piece.
    return f"questions {piece.title or piece.digest} {player}"


def _days(history: History, player: int) -> _Days:
    return {
        question: [(at.astimezone().date(), is_right) for at, is_right in answered]
        for question, answered in history.answers(player).items()
    }

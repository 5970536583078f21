"""Today's questions: what is due, what is heard of them, and how many minutes they take."""

from collections.abc import Sequence
from datetime import date
from math import ceil

from score.memory.question import Question
from score.memory.question_round import all_questions
from score.memory.when_to_ask import due_questions
from score.plan.from_group import group_concert
from score.playback.click import Thinning
from score.playback.sound_events import Timeline
from score.playback.timeline import PlayOptions, timeline
from score.time.from_group import pulse_options
from score.time.route import bars
from tui.session import Session

A_ROUND = 30
"""Questions a day at the most."""
MINUTES = 10
"""What they take."""
_Days = dict[str, list[tuple[date, bool]]]
"""Ids of questions, and on what day each was answered, rightly or not."""


def due_today(session: Session, today: date) -> tuple[Question, ...]:
    """The questions due, at most a round; takes up to some seconds.

    Raises:
        InbreathError: the concert's date in the group's file cannot be.
    """
    return _due(session, all_questions(session.piece, session.me), _days(session), today)


def minutes_today(session: Session, today: date) -> int:
    """Minutes that today's questions still take, nothing when a round has been answered; as slow as `due_today`.

    Raises:
        InbreathError: the concert's date in the group's file cannot be.
    """
    questions, days = all_questions(session.piece, session.me), _days(session)
    ids = {question.id for question in questions}
    answered = sum(day == today for id_, answers in days.items() if id_ in ids for day, _ in answers)
    left = min(len(_due(session, questions, days, today)), A_ROUND - answered)
    return ceil(MINUTES * left / A_ROUND) if left > 0 else 0


def planned_minutes(session: Session) -> int:
    """Minutes a day that a plan sets aside: those of a round, once the player has answered a question of the piece."""
    return MINUTES if session.history.recall(_name(session)) else 0


def keep_answer(session: Session, question: Question, is_right: bool) -> int:
    """Keep an answer; gives back its number in the history."""
    if not planned_minutes(session):
        session.history.remember(_name(session), "yes")
    return session.history.answer(session.me.number, question.id, is_right)


def heard_timeline(session: Session, question: Question) -> Timeline | None:
    """What is heard of a question: two bars of one player alone; None where there is nothing to hear."""
    if question.heard is None:
        return None
    number, first, last = question.heard
    pulse = pulse_options(session.group, session.piece)
    options = PlayOptions(pulse, frozenset({number}), Thinning.NONE, count_in=0)
    return timeline(session.piece, bars(session.piece, range(first, last + 1)), options)


def _due(session: Session, questions: Sequence[Question], days: _Days, today: date) -> tuple[Question, ...]:
    return due_questions(questions, days, today, group_concert(session.group), A_ROUND)


def _days(session: Session) -> _Days:
    answers = session.history.answers(session.me.number)
    return {
        question: [(at.astimezone().date(), is_right) for at, is_right in answered]
        for question, answered in answers.items()
    }


def _name(session: Session) -> str:
    return f"questions {session.piece.digest} {session.me.number}"

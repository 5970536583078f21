"""Today by heart as the screens need it: passages that come back, questions that are due, and their minutes."""

from datetime import date

from score.memory.question import Question
from score.plan.from_group import group_concert
from score.playback.click import Thinning
from score.playback.sound_events import Timeline
from score.playback.timeline import PlayOptions, timeline
from score.takes.heart_day import HeartDay, begin, due_passages, heart_day, planned_minutes
from score.takes.heart_passages import LostPassage, PartByHeart
from score.takes.judged_pass import JudgedPass
from score.takes.kept_takes import KeptTakes, TakeOf
from score.time.from_group import pulse_options
from score.time.route import bars
from tui.session import Session


def part_by_heart(session: Session) -> PartByHeart:
    """The player's part; phrases begin with chunks."""
    return PartByHeart(session.piece, session.me, [each.chunk.first for each in session.chunks])


def day_by_heart(session: Session, today: date) -> HeartDay:
    """What is due today; takes up to some seconds.

    Raises:
        InbreathError: the concert's date in the group's file cannot be.
    """
    return heart_day(part_by_heart(session), session.history, today, group_concert(session.group))


def passages_today(session: Session, today: date) -> tuple[LostPassage, ...]:
    """The passages that come back today; too slow for the screen's own thread all the same."""
    return due_passages(part_by_heart(session), session.history, today)


def minutes_planned(session: Session) -> int:
    """Minutes a day that a plan sets aside for what is learnt by heart."""
    return planned_minutes(session.piece, session.me.number, session.history)


def keep_answer(session: Session, question: Question, is_right: bool) -> int:
    """Keep an answer; gives back its number in the history."""
    begin(session.piece, session.me.number, session.history)
    return session.history.answer(session.me.number, question.id, is_right)


def keep_pass(session: Session, what: TakeOf, judged: JudgedPass) -> tuple[int, tuple[LostPassage, ...]]:
    """Keep a judged pass; gives back its number in the history, and the passages lost in it if it was by heart."""
    takes = KeptTakes(session.history)
    if not (what.is_by_heart and judged.judged):
        return takes.keep(what, judged), ()
    part, before = part_by_heart(session), session.history.answers(session.me.number)
    answers, lost = part.said(judged, before.keys()), part.passages(part.lost_bars(judged))
    number = takes.keep(what, judged, answers)
    if lost:
        begin(session.piece, session.me.number, session.history)
    return number, lost


def heard_timeline(session: Session, question: Question) -> Timeline | None:
    """What is heard of a question: two bars of one player alone; None where there is nothing to hear."""
    if question.heard is None:
        return None
    number, first, last = question.heard
    pulse = pulse_options(session.group, session.piece)
    options = PlayOptions(pulse, frozenset({number}), Thinning.NONE, count_in=0)
    return timeline(session.piece, bars(session.piece, range(first, last + 1)), options)

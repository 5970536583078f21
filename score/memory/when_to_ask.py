"""Which questions are due today: boxes of days, new ones rationed, a last lap before the concert.

A question answered right moves a box on (one, two, four, seven days), one answered wrong comes again the next day;
none is asked twice a day. New ones are dealt out so that all have been seen in the first half of the days left, and
have their places before those that are due again; where there is a concert, they also get what room is left. In the
last days, as many as one round through everything takes, each is asked once more, and then again what was wrong. The
gaps are a rule of thumb: facts come back better when they are asked on several days; whether that carries
to the hands is not shown. (Cepeda and others, Psychological Science 19, 2008, on facts; read as an abstract.) It was
chosen on two models of forgetting that contradict each other: `tests/bench/bench_memory.py`.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from itertools import chain, zip_longest
from math import ceil

from score.memory.question import Question

GAPS = (1, 2, 4, 7)
"""Days to the next time, by how often running a question has been answered right."""

_A_DAY = 12
"""New ones a day where no concert says how many days are left."""

Answers = Mapping[str, Sequence[tuple[date, bool]]]
"""Question's id to when it was answered and whether right, the earliest first."""


def due_questions(
    questions: Sequence[Question], answers: Answers, today: date, concert: date | None, many: int
) -> tuple[Question, ...]:
    """What to ask today, the longest due first, then new ones, kinds mixed.

    Args:
        questions: all of the player's.
        answers: what was answered before.
        today: the day.
        concert: the concert's day, None when it is not known.
        many: questions at the most.
    """
    left = max(1, (concert - today).days) if concert is not None and concert > today else None
    seen = [question for question in questions if answers.get(question.id)]
    fresh = [question for question in questions if not answers.get(question.id)]
    open_today = [question for question in seen if answers[question.id][-1][0] < today]
    lap = ceil(len(seen) / max(1, many))
    if left is not None and left <= lap:
        began = today - timedelta(days=lap - left)
        due = [question for question in open_today if answers[question.id][-1][0] < began]
        due.sort(key=lambda question: answers[question.id][-1][0])
        # What was wrong in the lap comes again as long as there is room.
        missed = [question for question in open_today if question not in due and not answers[question.id][-1][1]]
        return tuple([*due, *missed][:many])
    due = [question for question in open_today if due_day(answers[question.id]) <= today]
    due.sort(key=lambda question: due_day(answers[question.id]))
    ration = min(many, _ration(questions, answers, today, left))
    asked = due[: many - min(ration, len(fresh))]
    # Room that is left goes to new ones, where a concert says that time is short.
    return (*asked, *_mixed(fresh)[: ration if left is None else many - len(asked)])


def due_day(answered: Sequence[tuple[date, bool]]) -> date:
    """When a question comes again, from when it was answered and whether right, the earliest first."""
    running = 0
    for place, (day, is_right) in enumerate(answered):
        # A second answer on one day says nothing of how long it was known.
        if not is_right:
            running = 0
        elif not place or answered[place - 1][0] < day:
            running += 1
    last, is_right = answered[-1]
    return last + timedelta(days=GAPS[min(running, len(GAPS)) - 1] if is_right and running else 1)


def _ration(questions: Sequence[Question], answers: Answers, today: date, left: int | None) -> int:
    """How many new ones today still takes."""
    firsts = [answers[each.id][0][0] for each in questions if answers.get(each.id)]
    begun_today = sum(day == today for day in firsts)
    fresh = len(questions) - len(firsts)
    if left is None:
        return max(0, _A_DAY - begun_today)
    since = (today - min(firsts, default=today)).days
    # Half of all days from the first question to the concert, less those that are over.
    to_half = max(1, (left + since) // 2 - since)
    return max(0, ceil((fresh + begun_today) / to_half) - begun_today)


def _mixed(questions: Sequence[Question]) -> list[Question]:
    """One of each kind in turn."""
    kinds: dict[str, list[Question]] = defaultdict(list)
    for question in questions:
        kinds[question.kind].append(question)
    return [question for question in chain.from_iterable(zip_longest(*kinds.values())) if question is not None]

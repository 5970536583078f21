"""When questions come again: boxes, new ones rationed, a last lap; over two simulated weeks."""

from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from score.memory.question import Question
from score.memory.when_to_ask import due_questions

FIRST = date(2027, 3, 1)


def _questions(count: int) -> list[Question]:
    return [
        Question(str(n), f"kind {n % 3}", n, Fraction(0), "?", choices=("a", "b"), answer="a") for n in range(count)
    ]


def _days(count: int, concert: int | None, many: int, known: float) -> dict[int, list[str]]:
    """What is asked on each day when a share of the answers is right."""
    questions, chance = _questions(count), Random(5)
    answers: dict[str, list[tuple[date, bool]]] = defaultdict(list)
    asked: dict[int, list[str]] = {}
    for day in range(concert or 14):
        today = FIRST + timedelta(days=day)
        goal = FIRST + timedelta(days=concert) if concert else None
        due = due_questions(questions, answers, today, goal, many)
        asked[day] = [question.id for question in due]
        for question in due:
            answers[question.id].append((today, chance.random() < known))
    return asked


def test_right_ones_come_after_one_two_four_and_seven_days() -> None:
    asked = _days(1, None, 30, 1.0)
    assert [day for day, ids in asked.items() if ids] == [0, 1, 3, 7]
    assert [day for day, ids in _days(1, 40, 30, 1.0).items() if ids][:5] == [0, 1, 3, 7, 14]


def test_wrong_ones_come_the_next_day() -> None:
    assert [day for day, ids in _days(1, None, 30, 0.0).items() if ids] == list(range(14))


def test_all_are_seen_in_the_first_half_and_once_more_in_the_last_days() -> None:
    asked = _days(150, 14, 60, 0.8)
    assert len({name for day in range(8) for name in asked[day]}) == 150
    # Three days are one round of 150 at 60 a day.
    assert len({name for day in (11, 12, 13) for name in asked[day]}) == 150


@given(st.integers(1, 80), st.integers(1, 20), st.integers(1, 40))
def test_none_is_asked_twice_a_day_and_never_more_than_wanted(count: int, concert: int, many: int) -> None:
    for ids in _days(count, concert, many, 0.7).values():
        assert len(ids) == len(set(ids)) <= many


def test_kinds_are_mixed() -> None:
    asked = due_questions(_questions(9), {}, FIRST, None, 3)
    assert len({question.kind for question in asked}) == 3

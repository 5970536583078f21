"""Today's own work: from the plan where there is one, else the most demanding and least ready first."""

from datetime import date, datetime, timedelta

from score.plan.plan import make_plan
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY, Material, PlanInputs, Rehearsal
from score.plan.today import Work, in_days, today_slots

DAY = date(2027, 3, 1)


def test_without_a_plan_the_hard_and_the_unready_come_first() -> None:
    work = [Work(0.2), Work(0.9), Work(0.9, ready=1.0, last=DAY - timedelta(1)), Work(0.0), Work(0.5)]
    slots = today_slots(work, DAY, None, 1)
    assert [slot.chunk for slot in slots][:3] == [1, 4, 0]
    assert 3 not in [slot.chunk for slot in slots]
    assert sum(slot.minutes for slot in slots) <= USUAL_MINUTES_A_DAY
    assert slots[0].reason == "not begun"


def test_what_was_not_looked_at_for_days_comes_back() -> None:
    work = [Work(0.6, ready=0.5, last=DAY - timedelta(2)), Work(0.5, ready=0.5, last=DAY - timedelta(9))]
    first, second = today_slots(work, DAY, None, 1)
    assert (first.chunk, first.reason, second.reason) == (1, "last 9 days ago", "again")


def test_what_is_done_today_stays_in_the_list() -> None:
    before = today_slots([Work(0.6), Work(0.5)], DAY, None, 1)
    after = today_slots([Work(0.6, ready=0.0, last=DAY), Work(0.5)], DAY, None, 1)
    assert [slot.chunk for slot in before] == [slot.chunk for slot in after]
    assert [slot.is_done for slot in after] == [True, False]


def test_with_a_plan_it_is_the_plans_day() -> None:
    chunks = tuple(Material(name, 30.0, 0.5, own=((1, 0.7),), needed=(1, 2)) for name in "ABC")
    rehearsals = (Rehearsal(datetime(2027, 3, 4, 19), 90), Rehearsal(datetime(2027, 3, 9, 19), 90))
    inputs = PlanInputs("T", chunks, rehearsals, date(2027, 3, 12), DAY, players=((1, "One"), (2, "Two")))
    plan = make_plan(inputs)
    slots = today_slots([Work(0.7)] * 3, DAY, plan, 1)
    planned = plan.own[0].days[0]
    assert planned.day == DAY
    assert [(slot.chunk, slot.minutes) for slot in slots] == [(slot.chunk, slot.minutes) for slot in planned.slots]
    assert slots[0].reason == "not begun, rehearsal in 3 days"
    assert today_slots([Work(0.7)] * 3, date(2030, 1, 1), plan, 1) == ()


def test_days_are_said_as_players_say_them() -> None:
    assert [in_days(days) for days in (0, 1, 8)] == ["today", "tomorrow", "in 8 days"]

"""Ten minutes of questions a day: what the overview says of them, and that the plan sets the time aside."""

from datetime import date
from pathlib import Path

from textual.pilot import Pilot

from score.plan.plan_inputs import USUAL_MINUTES_A_DAY
from tests.tui.stand_steps import holds, open_as, until, use
from tui import clock
from tui.app import InbreathApp
from tui.drawing.chunk_rows import today_line
from tui.drawing.palette import DARK
from tui.memory_facts import MINUTES, due_today, keep_answer, minutes_today, planned_minutes
from tui.plan_days import own_words, shown_days
from tui.planning import _less_questions


def test_the_plan_sets_time_aside_once_a_question_was_answered(stand, score: Path) -> None:
    app: InbreathApp = stand(score)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        screen = app.screen
        await holds(pilot, lambda: screen.today.questions > 0)
        session, today = app.session, clock.today()
        assert session is not None
        assert planned_minutes(session) == 0
        assert _less_questions(session, ()) == ()
        before = minutes_today(session, today)
        assert 0 < before <= MINUTES
        due = due_today(session, today)
        for question in due:
            keep_answer(session, question, is_right=True)
        assert planned_minutes(session) == MINUTES
        assert _less_questions(session, ((1, 30), (2, 20))) == ((1, 30), (2, 10))
        assert _less_questions(session, ()) == ((2, USUAL_MINUTES_A_DAY - MINUTES),)
        assert minutes_today(session, today) == 0
        days = (today, date.fromordinal(today.toordinal() + 1))
        shown = shown_days(days, session.group, (), None, 2, planned_minutes(session))
        assert [day.own for day in shown] == [MINUTES, MINUTES]
        assert own_words(None, 2, today, MINUTES) == "questions 10 min"
        await pilot.press("p")
        await until(pilot, "PlanScreen")

    use(app, steps)


def test_the_line_of_today_says_chunks_then_questions() -> None:
    slots = [("B", 8, False), ("C", 5, True)]
    assert today_line(slots, "#ffffff", DARK, 10).plain == "today 8 min: B 8  g begins with B, y asks 10 min"
    assert today_line([("B", 8, True)], "#ffffff", DARK, 4).plain == "today is done   y asks 4 min"
    assert today_line([("B", 8, True)], "#ffffff", DARK).plain == "today is done"
    assert today_line([], "#ffffff", DARK).plain == ""

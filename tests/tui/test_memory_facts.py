"""Ten minutes of questions a day: what the overview says of them, and that the plan sets the time aside."""

from datetime import timedelta
from pathlib import Path

from textual.pilot import Pilot

from score.group.group_file import read_group
from score.takes.heart_day import MINUTES
from tests.tui.stand_steps import holds, open_as, until, use
from tui import clock
from tui.app import InbreathApp
from tui.drawing.chunk_rows import today_line
from tui.drawing.palette import DARK
from tui.memory_facts import day_by_heart, keep_answer, minutes_planned
from tui.plan_days import own_words, shown_days
from tui.planning import plan_for


def plan_file(score: Path) -> Path:
    """A concert in four weeks, two rehearsals before it, half an hour a day for player 2."""
    concert, path = clock.today() + timedelta(days=28), score.with_suffix(".group.toml")
    rehearsals = "".join(
        f"\n[[rehearsal]]\nat = {concert - timedelta(days=before)}T19:00:00\nminutes = 90\n" for before in (14, 7)
    )
    path.write_text(f"concert = {concert}\n{rehearsals}\n[[practice]]\nplayer = 2\nminutes = 30\n")
    return path


def test_the_plan_sets_time_aside_once_a_question_was_answered(stand, score: Path) -> None:
    app: InbreathApp = stand(score)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        screen = app.screen
        await holds(pilot, lambda: screen.today.questions > 0)
        session, today = app.session, clock.today()
        assert session is not None
        assert minutes_planned(session) == 0
        before = day_by_heart(session, today)
        assert 0 < before.question_minutes <= MINUTES
        for question in before.questions:
            keep_answer(session, question, is_right=True)
        assert minutes_planned(session) == MINUTES
        assert day_by_heart(session, today).question_minutes == 0
        session.group = read_group(plan_file(score))
        made = plan_for(session, {}, today)
        assert made is not None
        assert {work.player: work.by_heart for work in made.plan.own} == {1: 0, 2: MINUTES, 3: 0, 4: 0}
        assert all(sum(slot.minutes for slot in day.slots) <= 20 for day in made.plan.own[1].days)
        days = (today, today + timedelta(days=1))
        shown = shown_days(days, session.group, (), None, 2, minutes_planned(session))
        assert [day.own for day in shown] == [MINUTES, MINUTES]
        assert own_words(None, 2, today, MINUTES) == "by heart 10 min"
        await pilot.press("p")
        await until(pilot, "PlanScreen")

    use(app, steps)


def test_the_line_of_today_says_chunks_then_questions() -> None:
    slots = [("B", 8, False), ("C", 5, True)]
    assert today_line(slots, "#ffffff", DARK, 10).plain == "today 8 min: B 8  g begins with B, y asks 10 min"
    assert today_line([("B", 8, True)], "#ffffff", DARK, 4).plain == "today is done   y asks 4 min"
    assert today_line([("B", 8, True)], "#ffffff", DARK).plain == "today is done"
    assert today_line([], "#ffffff", DARK).plain == ""

"""What takes teach about demands: it weighs in today's work and in the plan, is shown, and is left out by a key."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from score.group.group_file import group_path, read_group
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY
from score.reading import read_score
from score.takes.expected_strokes import expected_pass
from score.takes.history import History
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.own_troubles import own_figure
from score.time.route import bars
from tests.tui.stand_steps import holds, open_as, text_of, use
from tui.overview_facts import panel_of
from tui.own_lessons import lesson_of, turn_lessons
from tui.planning import today_for
from tui.session import Session, StandChunk, chunks_of

TODAY = date(2026, 11, 20)
KIND = "travel"


def way_of(chunk: StandChunk) -> float:
    """Semitones a second that player 2 travels."""
    asked = next(entry.demands for entry in chunk.asked.players if entry.player == 2)
    return next((demand.value for demand in asked if demand.kind == KIND), 0.0)


@pytest.fixture
def session(score: Path, tmp_path: Path) -> Session:
    """Player 2, who has been heard over every chunk and was late the more the longer the ways along the bars."""
    reading = read_score(score)
    group = read_group(group_path(score))
    chunks = chunks_of(reading.piece, group)
    opened = Session(score, reading, group, chunks, history=History(tmp_path / "history.sqlite"), player=2)
    opened.history.opened(reading.piece.digest, "Quartet", score)
    takes = KeptTakes(opened.history)
    most = max(way_of(chunk) for chunk in chunks)
    for chunk in chunks:
        strokes = expected_pass(reading.piece, bars(reading.piece, chunk.chunk.bars), 2).strokes
        late = round(way_of(chunk) / most * len(strokes))
        states = [StrokeState.LATE] * late + [StrokeState.TOGETHER] * (len(strokes) - late)
        judged = tuple(
            JudgedStroke(stroke.bar, stroke.at, state) for stroke, state in zip(strokes, states, strict=True)
        )
        if judged:
            what = TakeOf(reading.piece.digest, 2, chunk.chunk.bars, tempo=1.0, source="key")
            takes.keep(what, JudgedPass(judged, True, "", Delay(0.0, DelayFrom.CLOCK)))
    return opened


def test_what_was_learned_weighs_in_todays_work_is_shown_and_can_be_left_out(session: Session) -> None:
    lesson = lesson_of(session)
    assert lesson is not None
    # In this piece who travels much also strikes much: the two cannot be told apart.
    assert lesson.kind in (KIND, "mean speed")
    assert lesson.rank > 0.9
    today = today_for(session, {}, TODAY)
    assert today.lesson == lesson
    assert any(lesson.kind in line and "your takes" in line for line in panel_of(session, today, 0).asks)
    turn_lessons(session)
    plain = today_for(session, {}, TODAY)
    assert plain.lesson is None
    assert not any("your takes" in line for line in panel_of(session, plain, 0).asks)
    turn_lessons(session)
    assert lesson_of(session) == lesson


def test_what_was_learned_weighs_in_the_plan(session: Session) -> None:
    concert = TODAY + timedelta(days=20)
    path = group_path(session.path)
    rehearsal = f"[[rehearsal]]\nat = {(TODAY + timedelta(days=8)).isoformat()}T19:00:00\nminutes = 90\n"
    path.write_text(f"concert = {concert.isoformat()}\n\n{rehearsal}", encoding="utf-8")
    session.group = read_group(path)
    session.chunks = chunks_of(session.piece, session.group)
    assert lesson_of(session) is not None
    from tui.planning import plan_for

    learned = plan_for(session, {}, TODAY, lesson_of(session))
    usual = plan_for(session, {}, TODAY)
    assert learned is not None
    assert usual is not None
    for chunk, mine, plain in zip(session.chunks, learned.plan.inputs.chunks, usual.plan.inputs.chunks, strict=True):
        assert dict(mine.own)[2] == own_figure(chunk.asked, 2, lesson_of(session)) >= dict(plain.own)[2]
        assert dict(mine.own)[1] == dict(plain.own)[1]


def test_a_key_leaves_it_out_and_brings_it_back(stand, score: Path) -> None:
    async def steps(pilot) -> None:
        await open_as(pilot, 2)
        await pilot.press("x")
        await holds(pilot, lambda: "x brings it back" in text_of(pilot.app))
        await pilot.press("x")
        await holds(pilot, lambda: "teach what weighs for you" in text_of(pilot.app))

    use(stand(score), steps)


@pytest.mark.campaign
@pytest.mark.parametrize("minutes", [20, 120])
def test_without_a_plan_today_takes_the_minutes_of_the_groups_file(session: Session, minutes: int) -> None:
    path = group_path(session.path)
    usual = sum(slot.minutes for slot in today_for(session, {}, TODAY).slots)
    assert usual <= USUAL_MINUTES_A_DAY
    path.write_text(f"[[practice]]\nplayer = 1\nminutes = 5\n\n[[practice]]\nplayer = 2\nminutes = {minutes}\n")
    session.group = read_group(path)
    taken = sum(slot.minutes for slot in today_for(session, {}, TODAY).slots)
    assert taken <= minutes
    assert taken > usual if minutes > USUAL_MINUTES_A_DAY else minutes - taken < 3

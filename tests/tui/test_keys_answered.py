"""Nothing slow runs where keys are taken: with work that sleeps, keys still answer and none is lost."""

import threading
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.cues import cue_choice
from score.group.group_file import read_group
from score.plan import plan_of_piece
from score.setup import setup_check
from tests.tui.stand_steps import holds, open_as, text_of, until, use

DAY = date.today()
PLANNED = f"""concert = {DAY + timedelta(days=14)}

[[rehearsal]]
at = {DAY + timedelta(days=2)}T19:00:00
minutes = 90

[[rehearsal]]
at = {DAY + timedelta(days=9)}T19:00:00
minutes = 60
"""


class Slow:
    """Work that waits until it is let go, and remembers in which thread it was done."""

    def __init__(self, work: Callable[..., Any]) -> None:
        self.work, self.gate = work, threading.Event()
        self.threads: list[threading.Thread] = []

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        self.threads.append(threading.current_thread())
        assert self.gate.wait(30), "never let go"
        return self.work(*arguments, **named)

    @property
    def stayed_aside(self) -> bool:
        return bool(self.threads) and threading.main_thread() not in self.threads


@pytest.fixture
def slow_plan(monkeypatch: pytest.MonkeyPatch) -> Slow:
    slow = Slow(plan_of_piece.plan_of)
    for module in ("score.plan.plan_of_piece", "tui.planning"):
        monkeypatch.setattr(f"{module}.plan_of", slow)
    return slow


def test_keys_answer_while_the_plan_is_being_made(stand, score: Path, tmp_path: Path, slow_plan: Slow) -> None:
    (tmp_path / "quartet.group.toml").write_text(PLANNED)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await holds(pilot, lambda: bool(slow_plan.threads))
        begun = time.monotonic()
        await pilot.press("p")
        await until(pilot, "PlanScreen")
        await holds(pilot, lambda: "2099" in text_of(pilot.app) or "Plan" in text_of(pilot.app))
        await pilot.press("m")
        await until(pilot, "AskLine")
        await pilot.press("3", "enter")
        await holds(pilot, lambda: "missing = [3]" in (tmp_path / "quartet.group.toml").read_text())
        # The plan has not been made meanwhile: the keys did not wait for it.
        assert not slow_plan.gate.is_set()
        assert time.monotonic() - begun < 30
        slow_plan.gate.set()
        await holds(pilot, lambda: "without 3" in text_of(pilot.app))

    use(stand(score), steps)
    assert slow_plan.stayed_aside


def test_cues_and_the_check_of_the_setup_are_made_aside(stand, score: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    choose, check = Slow(cue_choice.choose_cues), Slow(setup_check.check)
    monkeypatch.setattr("tui.cue_facts.choose_cues", choose)
    monkeypatch.setattr("tui.screens.setup_screen.check", check)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        for key, screen, slow in (("c", "CuesScreen", choose), ("s", "SetupScreen", check)):
            await pilot.press(key)
            await until(pilot, screen)
            await holds(pilot, lambda slow=slow: bool(slow.threads))  # type: ignore[misc]
            await pilot.press("escape")
            await until(pilot, "StandScreen")
            slow.gate.set()

    use(stand(score), steps)
    assert choose.stayed_aside
    assert check.stayed_aside


def test_what_is_typed_before_the_line_is_there_stands_in_it(stand, score: Path, tmp_path: Path) -> None:
    from textual.widgets import Input

    from tui.screens.prompts import AskLine

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        answers: list[str | None] = []
        line = AskLine("Bar", "31", "")
        pilot.app.push_screen(line, answers.append)
        for sign in "73":
            line.post_message(key_of(sign))
        await holds(pilot, lambda: bool(line.query(Input)) and line.query_one(Input).value == "73")
        await pilot.press("enter")
        await holds(pilot, lambda: answers == ["73"])

    use(stand(score), steps)


def key_of(sign: str) -> Any:
    from textual.events import Key

    return Key(sign, sign)


def test_a_refused_wish_leaves_the_one_before(stand, score: Path, tmp_path: Path) -> None:
    group = tmp_path / "quartet.group.toml"

    async def ask(pilot: Pilot[int], text: str) -> None:
        await pilot.press("a")
        await until(pilot, "AskLine")
        await pilot.press(*("space" if sign == " " else sign for sign in text), "enter")

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("c")
        await until(pilot, "CuesScreen")
        await ask(pilot, "20-22 3")
        await holds(pilot, lambda: group.exists() and len(read_group(group).cues) == 1)
        kept = group.read_bytes()
        await holds(pilot, lambda: pilot.app.screen.undos != [])
        await ask(pilot, "30-31 9")
        await until(pilot, "ErrorBox")
        assert group.read_bytes() == kept
        await pilot.press("escape")
        await until(pilot, "CuesScreen")
        assert len(pilot.app.screen.undos) == 1
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: not group.exists())

    use(stand(score), steps)


def test_practising_is_prepared_aside_and_plays_as_soon_as_it_can(
    stand, score: Path, fake_player, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tui import practice_facts, practice_pages, practice_setting

    facts, pages = Slow(practice_facts.practice_facts), Slow(practice_pages.page_table)
    sounds = Slow(practice_setting.timeline_of)
    monkeypatch.setattr("tui.screens.practice_stage.practice_facts", facts)
    monkeypatch.setattr("tui.screens.practice_stage.page_table", pages)
    monkeypatch.setattr("tui.practice_sound.timeline_of", sounds)

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await holds(pilot, lambda: bool(sounds.threads) and bool(facts.threads))
        # Nothing is ready, and the keys answer all the same; the wish to play is not lost.
        await pilot.press("space", "l", "minus")
        await holds(pilot, lambda: "95 %" in text_of(pilot.app) and "once" in text_of(pilot.app))
        assert not {"load", "play"} & set(fake_player.names())
        for slow in (sounds, facts, pages):
            slow.gate.set()
        await holds(pilot, lambda: fake_player.names()[-1:] == ["play"])
        await holds(pilot, lambda: "▶ playing" in text_of(pilot.app) and "│" in text_of(pilot.app))

    use(stand(score, player=fake_player), steps)
    assert all(slow.stayed_aside for slow in (facts, pages, sounds))

"""Questions on the screen: think, turn over, answer, go on; kept at once, undone by a key."""

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.screens.questions_screen import QuestionsScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], QuestionsScreen], Awaitable[None]]


def on_questions(app: InbreathApp, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def to_questions(pilot: Pilot[int]) -> None:
        await open_as(pilot, 3)
        await pilot.press("y")
        await until(pilot, "QuestionsScreen")
        screen = app.screen
        assert isinstance(screen, QuestionsScreen)
        await holds(pilot, lambda: screen.question is not None)
        await steps(pilot, screen)

    use(app, to_questions, size)


def test_think_turn_over_answer_and_go_on(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: QuestionsScreen) -> None:
        first = screen.question
        assert first is not None
        assert first.choices[0] not in text_of(app).split("Think first")[1]
        await pilot.press("1")  # no choice is open yet
        assert not screen.session.history.answers(3)
        await pilot.press("space", str(first.choices.index(first.answer) + 1))
        await holds(pilot, lambda: "Right." in text_of(app))
        assert [right for _, right in screen.session.history.answers(3)[first.id]] == [True]
        await pilot.press("space")
        second = screen.question
        assert second is not None
        assert second.id != first.id
        wrong = next(n for n, choice in enumerate(second.choices, 1) if choice != second.answer)
        await pilot.press("space", str(wrong))
        await holds(pilot, lambda: "No: " in text_of(app))
        await pilot.press("ctrl+z")
        assert second.id not in screen.session.history.answers(3)
        await pilot.press(str(second.choices.index(second.answer) + 1))
        await holds(pilot, lambda: "2 of 2 right" in text_of(app))

    on_questions(app, steps)


def test_what_was_answered_is_not_asked_again_the_same_day(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: QuestionsScreen) -> None:
        first = screen.question
        assert first is not None
        await pilot.press("space", "1", "escape")
        await until(pilot, "StandScreen")
        await pilot.press("y")
        await until(pilot, "QuestionsScreen")
        again = app.screen
        assert isinstance(again, QuestionsScreen)
        await holds(pilot, lambda: again.questions is not None)
        assert first.id not in {question.id for question in again.questions or ()}

    on_questions(app, steps, (60, 20))


def test_the_bars_in_a_question_can_be_heard(stand, score: Path, fake_player) -> None:
    app = stand(score, player=fake_player)

    async def steps(pilot: Pilot[int], screen: QuestionsScreen) -> None:
        shown = next(n for n, question in enumerate(screen.questions or ()) if question.heard)
        silent = next(n for n, question in enumerate(screen.questions or ()) if not question.heard)
        screen.place = silent
        await pilot.press("h")
        await holds(pilot, lambda: "Nothing of this question can be heard" in text_of(app))
        assert "play" not in fake_player.names()
        screen.place = shown
        question = screen.question
        assert question is not None
        assert question.heard is not None
        await pilot.press("h")
        await holds(pilot, lambda: "play" in fake_player.names())
        ((loaded, *_),) = [arguments for name, *arguments in fake_player.told if name == "load"]
        assert {strike.player for strike in loaded.strikes} == {question.heard[0]}
        assert [bar.bar for bar in loaded.bars] == list(range(question.heard[1], question.heard[2] + 1))

    on_questions(app, steps)

"""Questions over a screen take one answer, however fast keys follow one another."""

import asyncio
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from score.errors import RequestError
from tests.tui.stand_steps import open_as, until, use
from tui.screens.error_box import ErrorBox
from tui.screens.leaving import AnsweredOnce
from tui.screens.prompts import AskForm, AskLine, AskOne
from tui.screens.proposals_screen import ProposalsScreen


class Under(Screen[None]):
    pass


@pytest.mark.parametrize(
    ("over", "answer"),
    [
        (AskOne("Which?", ["this", "that"]), 1),
        (AskLine("Where?"), "bar 3"),
        (AskForm("What?", [("name", "A")], [""]), ("A",)),
        (ErrorBox(RequestError("No score", "there is none", "open one")), None),
    ],
    ids=lambda value: type(value).__name__,
)
def test_a_second_answer_before_it_has_gone_changes_nothing(over: AnsweredOnce[object], answer: object) -> None:
    answers: list[object] = []

    async def steps() -> None:
        app: App[int] = App()
        async with app.run_test() as pilot:
            app.push_screen(Under())
            app.push_screen(over, answers.append)
            await until(pilot, type(over).__name__)
            over.dismiss(answer)
            over.dismiss(answer)
            await until(pilot, "Under")
            assert len(app.screen_stack) == 2

    asyncio.run(steps())
    assert answers == [answer]


def test_going_back_twice_in_one_breath_goes_back_once(stand, score: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        stand_screen = pilot.app.screen
        await pilot.press("e")
        await until(pilot, "ProposalsScreen")
        screen = pilot.app.screen
        assert isinstance(screen, ProposalsScreen)
        screen.action_back()
        screen.action_back()
        await pilot.pause()
        assert pilot.app.screen is stand_screen

    use(stand(score), steps)

"""Steps on the screens as a player takes them; each waits for a state, never for time."""

import asyncio
from collections.abc import Awaitable, Callable

from textual.app import App
from textual.pilot import Pilot
from textual.widgets import OptionList, Static

from tui import background
from tui.app import InbreathApp

Steps = Callable[[Pilot[int]], Awaitable[None]]


def text_of(app: App[int]) -> str:
    """The screen as a reader sees it."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


async def until(pilot: Pilot[int], screen: str, seconds: float = 60.0) -> None:
    for _ in range(int(seconds / 0.05)):
        await pilot.pause(0.05)
        if type(pilot.app.screen).__name__ == screen:
            return
    raise AssertionError(f"{screen} never came; {type(pilot.app.screen).__name__} is there")


async def holds(pilot: Pilot[int], is_true: Callable[[], bool], seconds: float = 60.0) -> None:
    """Wait until something is as it should be."""
    for _ in range(int(seconds / 0.05)):
        if is_true():
            # What is said first may stand before the rest has its room: the whole picture is waited for.
            await pilot.pause()
            return
        await pilot.pause(0.05)
    assert is_true(), text_of(pilot.app)


async def at_rest(pilot: Pilot[int], seconds: float = 60.0) -> None:
    """Wait until nothing is worked out beside any screen any more and what came of it is drawn."""
    await holds(pilot, lambda: not _is_working(pilot.app), seconds)
    await pilot.pause()


def _is_working(app: App[int]) -> bool:
    lines = [line for screen in app.screen_stack for line in background._LINES.get(screen, {}).values()]
    return any(line.is_busy or line.waiting for line in lines) or any(worker.is_running for worker in app.workers)


async def says(pilot: Pilot[int], words: str) -> str:
    """Wait until the answer on the screen holds some words."""
    screen = pilot.app.screen
    await holds(pilot, lambda: words in str(screen.query_one("#answer", Static).render()))
    return str(screen.query_one("#answer", Static).render())


def use(app: InbreathApp, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await steps(pilot)

    asyncio.run(run())


async def open_as(pilot: Pilot[int], player: int) -> None:
    """Answer who is practising."""
    await until(pilot, "AskOne")
    # On a busy machine the question stands there before its list takes keys.
    await holds(pilot, lambda: isinstance(pilot.app.screen.focused, OptionList))
    for _ in range(player - 1):
        await pilot.press("down")
    await pilot.press("enter")
    await until(pilot, "StandScreen")

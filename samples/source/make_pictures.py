"""Pictures of the screens for the README: `python samples/source/make_pictures.py` writes `samples/pictures/*.svg`.

The day stands still and the history is invented, so that the same pictures come out again.
"""

import asyncio
import re
import shutil
import tempfile
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from unittest.mock import Mock

from textual.pilot import Pilot

from score.takes import history as history_file
from score.takes.history import History
from score.takes.readiness import Readiness
from tui import clock
from tui.app import InbreathApp
from tui.settings import Settings

SAMPLES = Path(__file__).parents[1]
SIZE = (100, 30)
NOW = datetime(2026, 11, 27, 18, 30)
GROUP = """
[[rehearsal]]
at = 2026-12-05T19:00:00
minutes = 90

[[note]]
bar = "23"
player = 2
text = "a shade slower, 3 leads"
"""
RATED = (
    (range(16, 40), Readiness.UNDER_TEMPO, 0.5, 17),
    (range(16, 40), Readiness.UNDER_TEMPO, 0.6, 8),
    (range(8), Readiness.BY_HEART, 1.0, 1),
    (range(8, 16), Readiness.AT_TEMPO, 1.0, 1),
    (range(16, 40), Readiness.UNDER_TEMPO, 0.7, 2),
    (range(40, 48), Readiness.UNDER_TEMPO, 0.8, 3),
    (range(80, 96), Readiness.LEARNING, 0.6, 9),
)
"""Bars, readiness, tempo and days ago of player 2's passes."""


async def wait(pilot: Pilot[int], is_true: Callable[[], bool]) -> None:
    for _ in range(600):
        if is_true():
            return
        await pilot.pause(0.05)
    raise AssertionError("the picture never came")


def named(app: InbreathApp, screen: str) -> Callable[[], bool]:
    return lambda: type(app.screen).__name__ == screen


async def stand(app: InbreathApp, pilot: Pilot[int]) -> None:
    """The overview with a today, the cursor on B."""
    from tui.screens.stand_screen import StandScreen

    await pilot.press("down", "down")
    screen = app.screen
    assert isinstance(screen, StandScreen)
    await wait(pilot, lambda: bool(screen.today.slots) and screen.is_checked)


async def practice(app: InbreathApp, pilot: Pilot[int]) -> None:
    """Practising B at 70 %, in its second bar: what the screen shows when the player process reports that."""
    from score.playback.sounding.sound_messages import Position
    from tui.screens.practice_screen import PracticeScreen

    await pilot.press("slash", "B", "enter", "enter")
    await wait(pilot, named(app, "PracticeScreen"))
    screen = app.screen
    assert isinstance(screen, PracticeScreen)
    await wait(pilot, lambda: screen.table is not None and screen.sound.written > 0)
    await pilot.press(*["minus"] * 6)
    await wait(pilot, lambda: screen.setting.tempo < 0.75)
    screen.sound.playing, screen.sound.turn = True, 3
    screen.sound.position = Position(5.5, 17, 3, offset=6.5, turn=3, quarters_per_minute=0.7 * screen.sound.written)
    screen.show_position()


PICTURES: dict[str, Callable[[InbreathApp, Pilot[int]], Awaitable[None]]] = {"stand": stand, "practice": practice}


def write(name: str) -> Path:
    """Write one picture."""
    with tempfile.TemporaryDirectory() as folder:
        score = Path(shutil.copy(SAMPLES / "quartet.musicxml", folder))
        group = (SAMPLES / "quartet.group.toml").read_text(encoding="utf-8")
        score.with_name("quartet.group.toml").write_text(_with_concert(group) + GROUP, encoding="utf-8")
        history = History(Path(folder) / "history.sqlite")
        app = InbreathApp(score, history, Settings(), Mock(**{"reports.return_value": []}))

        async def run() -> str:
            async with app.run_test(size=SIZE) as pilot:
                await wait(pilot, named(app, "AskOne"))
                assert app.session is not None
                for bars, readiness, tempo, days in RATED:
                    past = datetime(NOW.year, NOW.month, NOW.day, 12, tzinfo=UTC) - timedelta(days=days)
                    vars(history_file)["written_now"] = past.isoformat
                    history.rate(app.session.piece.digest, 2, bars, readiness, tempo)
                await pilot.press("2")
                await wait(pilot, named(app, "StandScreen"))
                await PICTURES[name](app, pilot)
                await pilot.pause(0.5)
                return app.export_screenshot(title="Inbreath")

        picture = asyncio.run(run())
    path = SAMPLES / "pictures" / f"{name}.svg"
    # No font is fetched from anywhere when a page shows the picture.
    path.write_text(re.sub(r"@font-face\s*{.*?}", "", picture, flags=re.S).replace("Fira Code", "monospace"))
    return path


def _with_concert(group: str) -> str:
    return f"concert = 2026-12-13\n\n{group}" if "concert" not in group else group


if __name__ == "__main__":
    clock.source = lambda: NOW
    for each in PICTURES:
        print(write(each))

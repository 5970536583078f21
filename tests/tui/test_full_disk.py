"""A history that takes no more: a box says so, the screens stay, and what is not kept is not said to be."""

import errno
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any, NoReturn

import pytest
from textual.pilot import Pilot

from score.errors import WritingError
from score.takes.history import History
from tests.longer import longer
from tests.tui.conftest import SAMPLES
from tests.tui.stand_steps import at_rest, open_as, text_of, until, use
from tests.tui.test_practice import practise
from tui import start
from tui.settings import Settings


def takes_no_more(history: History) -> NoReturn:
    raise WritingError("Practice history cannot be saved", f"{history.path}: disk full", "check disk space")


async def refused(pilot: Pilot[int], *keys: str) -> None:
    """Keys that would be kept: the box says that they are not, and any key closes it."""
    await pilot.press(*keys)
    await until(pilot, "ErrorBox")
    assert "cannot be saved" in text_of(pilot.app)
    await pilot.press("x")


def test_a_full_disk_ends_no_screen(stand, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        monkeypatch.setattr(History, "transaction", takes_no_more)
        await pilot.press("w")
        await until(pilot, "AskOne")
        await refused(pilot, "down", "enter")
        await until(pilot, "StandScreen")

    app = stand(Path(shutil.copy(SAMPLES / "trio-ids.musicxml", tmp_path)))
    use(app, steps)
    assert app.fault is None


@pytest.mark.campaign
def test_a_full_disk_ends_no_practice(stand, score: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await at_rest(pilot)
        monkeypatch.setattr(History, "transaction", takes_no_more)
        screen: Any = pilot.app.screen
        await refused(pilot, "s")
        await until(pilot, "PracticeScreen")
        assert screen.ratings == []
        assert "saved" not in text_of(pilot.app)
        # Leaving keeps the bar and the setting: that fails, and the screen goes all the same.
        await refused(pilot, "escape")
        await until(pilot, "StandScreen")

    app = stand(score)
    use(app, steps)
    assert app.fault is None


@pytest.mark.campaign
def test_a_fault_of_ours_leaves_the_screens_without_a_traceback(
    stand, score: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_: object) -> None:
        raise LookupError("broken")

    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        monkeypatch.setattr(type(pilot.app), "show_error", broken)
        monkeypatch.setattr(type(pilot.app), "action_undo", broken)
        await pilot.press("ctrl+z")

    app = stand(score)
    with pytest.raises(LookupError):
        use(app, steps)
    assert isinstance(app.fault, LookupError)
    assert not app._exit_renderables
    assert "Traceback" not in "".join(capsys.readouterr())


def test_a_fault_of_the_screens_is_raised_for_the_command_to_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Broken:
        fault = OSError(errno.EBADF, "broken")

        def __init__(self, *_: object) -> None: ...

        def run(self) -> None: ...

    class Silent:
        def __init__(self, *_: object) -> None: ...

        def start(self) -> None: ...

        def close(self) -> None: ...

    monkeypatch.setattr(start, "SoundProcess", Silent)
    monkeypatch.setattr("tui.app.InbreathApp", Broken)
    monkeypatch.setattr(start, "history_path", lambda: tmp_path / "history.sqlite")
    with pytest.raises(OSError, match="broken"):
        start._run(None, Settings(), "", silent=True, question=None)


@pytest.mark.parametrize("words", [longer(["stand"]), [str(SAMPLES / "study.musicxml")]])
def test_without_a_terminal_the_screens_say_so(words: list[str], tmp_path: Path) -> None:
    environment = os.environ | {"XDG_DATA_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
    command = [sys.executable, "-m", "tui", *words]
    asked = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=environment, check=False
    )
    assert asked.returncode == 2
    (line,) = asked.stderr.splitlines()
    assert line.startswith("No terminal: the screens need one; open a terminal; `inbreath --help`")
    assert not list(tmp_path.iterdir())

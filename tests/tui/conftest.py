"""A music stand to press keys on, with a player that only remembers what it was told."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from score.playback.sound_events import Timeline
from score.playback.sounding.sound_messages import Bend, EarsFound, Listen, Report
from score.takes.history import History
from tui.app import InbreathApp
from tui.settings import Settings

SAMPLES = Path(__file__).parents[2] / "samples"


class FakePlayer:
    """Stands where the sound process stands."""

    def __init__(self) -> None:
        self.told: list[tuple[str, object]] = []
        self.coming: list[Report] = []
        self.alive = True
        self.number = 0
        self.ports = ("Pad", "Stage")

    def load(self, timeline: Timeline, loop: bool = False, gap: float = 0.0, number: int = 0) -> None:
        self.number = number
        self.told.append(("load", timeline))

    def swap(self, timeline: Timeline, number: int = 0) -> None:
        self.number = number
        self.told.append(("swap", timeline))

    def play(self, seconds: float = 0.0) -> None:
        self.told.append(("play", seconds))

    def stop(self) -> None:
        self.told.append(("stop", None))

    def loop(self, on: bool, gap: float = 0.0) -> None:
        self.told.append(("loop", on))

    def look_for_ears(self) -> None:
        self.told.append(("look for ears", None))
        self.coming = [*self.coming, EarsFound(self.ports, ("Built-in",))]

    def listen(self, wish: Listen) -> None:
        self.told.append(("listen", wish))

    def bend(self, bend: Bend) -> None:
        self.told.append(("bend", bend))

    def wake(self, call: Callable[[], None] | None) -> None:
        """What is coming is looked for all the same."""

    def quick(self, on: bool) -> None:
        self.told.append(("quick", on))

    def reports(self) -> list[Report]:
        found, self.coming = self.coming, []
        return found

    def names(self) -> list[str]:
        return [name for name, _ in self.told]


@pytest.fixture(autouse=True)
def usual_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """One with all letters and colours, wherever the tests run."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture
def score(tmp_path: Path) -> Path:
    return Path(shutil.copy(SAMPLES / "quartet.musicxml", tmp_path / "quartet.musicxml"))


@pytest.fixture
def stand(tmp_path: Path) -> Callable[..., InbreathApp]:
    """Make an application; its history is in the test's folder."""

    def make(score: Path | None, settings: Settings | None = None, player: FakePlayer | None = None) -> InbreathApp:
        history = History(tmp_path / "history.sqlite")
        return InbreathApp(score, history, settings or Settings(), player)  # type: ignore[arg-type]

    return make


@pytest.fixture
def fake_player() -> FakePlayer:
    return FakePlayer()

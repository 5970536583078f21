"""Reading a score: progress, and a way out."""

from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import ProgressBar, Static
from textual.worker import get_current_worker

from score.errors import InbreathError
from tui.key_bindings import bindings
from tui.keys import READING
from tui.opening import OpeningStopped, ScoreSource, open_session
from tui.screen_messages import Failed, Opened, Step
from tui.screens.leaving import leave
from tui.widgets.foot import Foot


class OpeningScreen(Screen[None]):
    """Shows how far reading is; Escape stops it."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("reading", READING)]

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path

    def compose(self) -> ComposeResult:
        """Name of the file, the step, the bar."""
        with Vertical(id="opening"):
            yield Static(self.path.name, id="name", markup=False)
            yield Static("reading", id="step")
            yield ProgressBar(total=1.0, show_eta=False, id="progress")
        yield Foot()

    def on_mount(self) -> None:
        """Begin to read."""
        self.read()

    @work(thread=True, exclusive=True)
    def read(self) -> None:
        """Read in a thread of its own."""
        worker, source = get_current_worker(), ScoreSource(self.path, self.app.history)  # type: ignore[attr-defined]

        def report(step: str, done: float) -> None:
            if worker.is_cancelled:
                raise OpeningStopped
            self.post_message(Step(step, done))

        try:
            session = open_session(source, report)
        except OpeningStopped:
            return
        except InbreathError as error:
            self.post_message(Failed(error))
            return
        if not worker.is_cancelled:
            self.post_message(Opened(session))

    @on(Step)
    def _step(self, message: Step) -> None:
        self.query_one("#step", Static).update(message.what)
        self.query_one(ProgressBar).update(progress=message.done)

    @on(Failed)
    def _failed(self) -> None:
        # The message goes on to the application, which says what is wrong; there is nothing to show here.
        leave(self)

    def action_back(self) -> None:
        """Stop reading."""
        self.workers.cancel_node(self)
        leave(self)

"""An error in a box over the screen: what is wrong, what would work; any key closes it."""

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Click, Key
from textual.widgets import Static

from score.errors import InbreathError
from tui.screens.leaving import AnsweredOnce


class ErrorBox(AnsweredOnce[None]):
    """An engine's error as title, reason and what would work.

    Args:
        error: the error.
    """

    def __init__(self, error: InbreathError) -> None:
        super().__init__()
        self.error = error

    def compose(self) -> ComposeResult:
        """Title, reason, remedy, how to go on."""
        error = self.error
        remedy = f"{error.remedy[:1].upper()}{error.remedy[1:]}." if error.remedy else ""
        lines = [Text(error.title, "bold"), Text(f"{error.what}."), Text(remedy)]
        with Vertical(classes="asking error"):
            yield Static(Text("\n").join(line for line in lines if line))
            yield Static("any key closes this", classes="hint")

    def on_key(self, event: Key) -> None:
        """Any key closes it and does nothing else."""
        event.stop()
        event.prevent_default()
        self.dismiss()

    def on_click(self, event: Click) -> None:
        """So does a click."""
        event.stop()
        self.dismiss()

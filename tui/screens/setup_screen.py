"""The set-up check on the screen: findings, what to carry, who stands where."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from score.errors import InbreathError
from score.setup.setup_check import SetupReport, check, suggested_stickings
from score.setup.setup_texts import setup_text, write_setup
from score.setup.suggested_stickings import stickings_text
from tui.keys import SETUP, bindings
from tui.output_folder import default_folder
from tui.session import Session
from tui.widgets.foot import Foot


class SetupScreen(Screen[None]):
    """Everything the check found, to scroll through."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("setup", SETUP)]
    EXPLAIN = (
        "Limits, shared instruments, sizes and places stand in the group's file; r checks again after editing it. "
        "h shows suggested stickings for your part, and the check again."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.report: SetupReport | None = None
        self.stickings = False

    def compose(self) -> ComposeResult:
        """Heading and text."""
        yield Static("Set-up", id="heading")
        with VerticalScroll(id="plan"):
            yield Static("", id="answer", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Check."""
        self.query_one("#plan", VerticalScroll).focus()
        self._check()

    def _check(self) -> None:
        self.stickings = False
        try:
            self.report = check(self.session.piece, self.session.group)
            text = setup_text(self.session.piece, self.report)
        except InbreathError as error:
            self.report, text = None, error.line
        self.query_one("#answer", Static).update(text)

    def action_again(self) -> None:
        """Read the group's file and check again."""
        from tui.session import reread

        try:
            reread(self.session)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self._check()

    def action_stickings(self) -> None:
        """Suggested stickings for the player's own part, or the check again."""
        if self.stickings or not self.session.player:
            self._check()
            return
        self.stickings = True
        piece, player = self.session.piece, self.session.piece.player(self.session.player)
        try:
            text = stickings_text(piece, player, suggested_stickings(piece, self.session.group, player))
        except InbreathError as error:
            text = error.line
        self.query_one("#answer", Static).update(f"Suggested stickings, {player.name}\n\n{text}")

    def action_write_setup(self) -> None:
        """Write findings, gear list and plan."""
        if self.report is None:
            return
        folder = default_folder(self.session.path)
        try:
            files = write_setup(self.session.piece, self.report, folder, self.session.path.stem)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self.app.notify(f"{len(files)} files are in {folder}", markup=False)

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

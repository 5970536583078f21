"""The set-up check on the screen: findings, what to carry, who stands where."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from score.setup.setup_check import SetupReport, check, suggested_stickings
from score.setup.setup_texts import setup_text, write_setup
from score.setup.suggested_stickings import stickings_text
from tui.background import beside
from tui.keys import SETUP, bindings
from tui.output_folder import default_folder
from tui.session import Session, reread
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
        self.report = None
        beside(self, "answer", self._report, self._show_report, lambda error: self._say(error.line))

    def _report(self) -> tuple[SetupReport, str]:
        report = check(self.session.piece, self.session.group)
        return report, setup_text(self.session.piece, report)

    def _show_report(self, report: tuple[SetupReport, str]) -> None:
        self.report = report[0]
        self._say(report[1])

    def _say(self, text: str) -> None:
        self.query_one("#answer", Static).update(text)

    def action_again(self) -> None:
        """Read the group's file and check again."""
        beside(self, "reread", lambda: reread(self.session), lambda _: self._check())

    def action_stickings(self) -> None:
        """Suggested stickings for the player's own part, or the check again."""
        if self.stickings or not self.session.player:
            self._check()
            return
        self.stickings = True
        beside(self, "answer", self._suggested, self._say, lambda error: self._say(error.line))

    def _suggested(self) -> str:
        piece, player = self.session.piece, self.session.piece.player(self.session.player)
        text = stickings_text(piece, player, suggested_stickings(piece, self.session.group, player))
        return f"Suggested stickings, {player.name}\n\n{text}"

    def action_write_setup(self) -> None:
        """Write findings, gear list and plan."""
        if self.report is None:
            return
        folder, report, stem = default_folder(self.session.path), self.report, self.session.path.stem
        beside(
            self,
            "files",
            lambda: write_setup(self.session.piece, report, folder, stem),
            lambda files: self.app.notify(f"{len(files)} files are in {folder}", markup=False),
        )

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

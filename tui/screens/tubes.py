"""Tubes cut to pitch: what is wanted and measured above, lengths, cut list and cautions below."""

from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Input, Static

from score.errors import InbreathError
from tui.commands.common import default_folder
from tui.keys import TUBES, bindings
from tui.session import Session

FIELDS = (
    ("notes", "notes", "C3-C4 diatonic"),
    ("pipe", "pipe", "2 in"),
    ("measured", "measured tubes, with ; between", "640 mm C3+5c cap 20C"),
    ("stock", "sticks to buy, with ; between", "3 m"),
)


class TubesScreen(Screen[None]):
    """A line for each thing asked; the answer follows what is typed."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("tubes", TUBES)]
    EXPLAIN = "Enter in any line works it out again; Ctrl+S writes sheet, template and log."

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.made: Any = None

    def compose(self) -> ComposeResult:
        """Lines to type, the answer."""
        yield Static("Tubes cut to pitch", id="heading")
        for name, words, example in FIELDS:
            with Horizontal(classes="field"):
                yield Static(words, classes="label", markup=False)
                yield Input(placeholder=example, id=name, compact=True)
        with VerticalScroll(id="plan"):
            yield Static("", id="answer", markup=False)
        yield Footer()

    def on_mount(self) -> None:
        """Begin with the example, so that there is something to see."""
        self.query_one("#notes", Input).value = "C3-C4 diatonic"
        self.work_out()

    @on(Input.Submitted)
    def _typed(self) -> None:
        self.work_out()

    def work_out(self) -> None:
        """Lengths for what is typed, or the one line that says what to check."""
        from score.tubes.texts import tubes_text
        from tui.commands.tubes import made_from, usual

        asked = usual()
        asked["pipe"] = self._said("pipe") or asked["pipe"]
        asked["measured"] = self._list("measured")
        asked["stock"] = self._list("stock")
        try:
            self.made = made_from(self._said("notes") or None, asked)
            text = tubes_text(self.made, asked["units"])
        except InbreathError as error:
            self.made, text = None, error.line
        self.query_one("#answer", Static).update(text)

    def _said(self, name: str) -> str:
        return self.query_one(f"#{name}", Input).value.strip()

    def _list(self, name: str) -> tuple[str, ...]:
        return tuple(entry.strip() for entry in self._said(name).split(";") if entry.strip())

    def action_write_tubes(self) -> None:
        """Write the workshop's files."""
        from score.tubes.files import write_tubes

        if self.made is None:
            self.app.notify("There is nothing to write yet: mend the line that is asked for.")
            return
        folder = default_folder(self.session.path)
        try:
            files = write_tubes(self.made, folder, "a4", "mm")
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self.app.notify(f"{len(files)} files are in {folder}", markup=False)

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

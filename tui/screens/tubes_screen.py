"""Tubes cut to pitch: what is wanted and measured above, cautions, lengths, cut list and frame below."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from score.errors import InbreathError, RequestError
from score.tubes.units import show_length
from tui.key_bindings import bindings
from tui.keys import TUBES
from tui.output_folder import default_folder
from tui.screens.leaving import leave
from tui.session import Session
from tui.tubes_options import TypedOptions, typed_options
from tui.widgets.foot import Foot

if TYPE_CHECKING:
    from score.tubes.tube_files import Made
    from score.tubes.tuning_log import Heard, Log

FIELDS = (
    ("notes", "notes, or player 2", "e.g. C3-C4 diatonic A4=442"),
    ("pipe", "pipe", "2 in if left empty; e.g. 3 in"),
    ("measured", "measured tubes, with ; between", "e.g. 640 mm C3+5c cap 20C"),
    ("stock", "sticks to buy, with ; between", "e.g. 3 m"),
    ("leftover", "leftovers, with ; between", "e.g. 830 mm; 2 x 1 m"),
    ("more", "anything else, as options", "e.g. --open --hall 25C --trim 10mm"),
    ("heard", "heard after a trim", "e.g. C3: C3-18c 21C"),
)
_BESIDE = 6
"""Columns beside the answer: padding and the scroll bar."""


@dataclass
class Answer(Message):
    """What was worked out: the set, None with the one line that says what to check, and the text to show."""

    tubes: "Made | None"
    options: TypedOptions | None
    text: str


class TubesScreen(Screen[None]):
    """A line for each thing asked; the answer follows what is typed."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("tubes", TUBES)]
    EXPLAIN = (
        "Enter in any line works it out again and goes on reading: through the cautions the first time, then at the "
        "first warning or length. Ctrl+S writes sheet, template and log. "
        '"player 2 marimba" takes the notes from this piece. What `inbreath tubes --help` lists goes into the line '
        "for anything else. After a trim write what the tube sounds into the last line: "
        "the log says how much more may come off."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.tubes: Made | None = None
        self.options: TypedOptions | None = None
        self.entered: list[tuple[str, Path, Heard]] = []
        self.going_on = False
        self.cautioned = False

    def compose(self) -> ComposeResult:
        """Lines to type, the answer."""
        yield Static("Tubes cut to pitch", id="heading")
        for name, words, example in FIELDS:
            with Horizontal(classes="field"):
                yield Static(words, classes="label", markup=False)
                yield Input(placeholder=example, id=name, compact=True)
        yield Static("", id="lengths", markup=False)
        with VerticalScroll(id="plan"):
            yield Static("", id="answer", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Begin with an example, so that there is something to see; what is typed takes its place."""
        notes = self.query_one("#notes", Input)
        notes.value = "C3-C4 diatonic"
        notes.select_all()
        self.watch(self.query_one("#plan", VerticalScroll), "scroll_y", self._count_cautions, init=False)
        self.work_out()

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        if event.input.id == "heard" and event.value.strip():
            self._enter(event.value.strip())
        else:
            self.going_on = True
            self.work_out()

    def work_out(self) -> None:
        """Lengths for what is typed, or the one line that says what to check."""
        self.tubes = None
        said = {name: self.query_one(f"#{name}", Input).value.strip() for name, _, _ in FIELDS}
        self._work(said, self._width)

    @work(thread=True, exclusive=True)
    def _work(self, said: Mapping[str, str], width: int) -> None:
        from score.tubes.tube_texts import tubes_text
        from score.tubes.tubes_asked import session_tubes

        options: TypedOptions | None = None
        tubes: Made | None = None
        try:
            options = _options(said)
            tubes = session_tubes(self.session.piece, said["notes"], options.instrument, options.asked)
            text = tubes_text(tubes, options.asked.units, width)
        except InbreathError as error:
            text = error.line
        if not get_current_worker().is_cancelled:
            self.post_message(Answer(tubes, options, text))

    @on(Answer)
    def _answered(self, message: Answer) -> None:
        self.tubes, self.options = message.tubes, message.options
        seen, going_on, self.going_on = self.session.cautions, self.going_on, False
        self._show(message.text)
        self._show_lengths()
        self.cautioned = message.tubes is not None
        if self.cautioned:
            self.call_after_refresh(self._go_on, message.text, seen if going_on else 0)

    def _go_on(self, text: str, seen: int) -> None:
        """Show what has not been seen: the cautions first, page by page, then what they stand before.

        Args:
            text: the answer.
            seen: lines of the cautions that were on the screen already; 0 to begin with them.
        """
        plan, (cautions, first, last) = self.query_one("#plan", VerticalScroll), _places(text)
        high = plan.scrollable_content_region.height
        if seen < cautions:
            plan.scroll_to(y=max(0, min(seen, cautions - high)), animate=False)
        elif last > high:
            plan.scroll_to(y=first, animate=False)
        self._count_cautions()

    def _count_cautions(self) -> None:
        """Remember how far down the cautions the screen has been."""
        plan = self.query_one("#plan", VerticalScroll)
        if self.cautioned:
            below = plan.scroll_offset.y + plan.scrollable_content_region.height
            self.session.cautions = max(self.session.cautions, below)

    def _show_lengths(self) -> None:
        """The finished lengths in two rows, in sight whatever is read below."""
        line = Text("", no_wrap=False)
        if self.tubes is not None and self.options is not None:
            unit = self.options.asked.units
            for tube in self.tubes.tubes.tubes:
                length = show_length(tube.final, unit).replace(" ", "\u00a0")
                line.append(f"{tube.wanted.name}\u00a0", "bold").append(f"{length}   ")
        self.query_one("#lengths", Static).update(line)

    def _show(self, text: str) -> None:
        # Only an answer begins with the cautions; the log and a refusal hold none.
        self.cautioned = False
        self.query_one("#answer", Static).update(text)
        self.query_one("#plan", VerticalScroll).scroll_home(animate=False)

    @property
    def _width(self) -> int:
        from score.tubes.tube_texts import WIDTH

        return min(WIDTH, self.app.size.width - _BESIDE)

    @property
    def _log(self) -> Path:
        from score.tubes.tuning_log_file import NAME

        return self._folder / NAME

    @property
    def _folder(self) -> Path:
        folder = self.options.folder if self.options is not None else None
        return folder or default_folder(self.session.path)

    def _enter(self, line: str) -> None:
        """Put a pitch into the log and show what may still come off."""
        from score.tubes.tuning_entries import entered

        try:
            if not self._log.exists():
                raise RequestError("No tuning log", f"{self._log} is not there", "write the files first, with Ctrl+S")
            log = entered(self._log, (line,), f"{datetime.now():%Y-%m-%d %H:%M}")
            self._advise(log)
        except InbreathError as error:
            self._show(error.line)
            return
        self.entered.append((line, self._log, log.heard[-1]))
        self.query_one("#heard", Input).value = ""

    def _advise(self, log: "Log") -> None:
        from score.tubes.tube_texts import log_text
        from score.tubes.tuning_log import latest

        self._show(log_text(log, latest(log), self.options.asked.units if self.options else "mm", self._width))

    def undo_last(self) -> str:
        """Take the last pitch out of the log again."""
        from score.tubes.tuning_entries import removed

        if not self.entered:
            return ""
        try:
            line, path, heard = self.entered.pop()
            self._advise(removed(path, heard))
        except InbreathError as error:
            return error.line
        return f"Removed from the log: {line}"

    def action_line(self, by: int) -> None:
        """Another line to type."""
        lines = list(self.query(Input))
        here = next((at for at, line in enumerate(lines) if line.has_focus), 0)
        lines[(here + by) % len(lines)].focus()

    def action_write_tubes(self) -> None:
        """Write the workshop's files."""
        from score.tubes.tube_files import write_tubes

        if self.tubes is None or self.options is None:
            self.app.notify("There is nothing to write yet: correct the line it asks about.")
            return
        folder = self._folder
        try:
            files = write_tubes(self.tubes, folder, self.options.paper, self.options.asked.units)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self.app.notify(f"{len(files)} files are in {folder}", markup=False)

    def action_back(self) -> None:
        """Back."""
        self.workers.cancel_node(self)
        leave(self)


def _places(text: str) -> tuple[int, int, int]:
    """Lines of an answer: how many the cautions take, the first warning or length, the end of the first lengths."""
    lines = text.split("\n")
    cautions = lines.index("")
    head = next(n for n, line in enumerate(lines) if line.startswith("Tube "))
    warning = next((n for n, line in enumerate(lines) if line.startswith("! ")), head)
    return cautions, min(head, warning), lines.index("", head)


def _options(said: Mapping[str, str]) -> TypedOptions:
    """What is asked of the set; a line of its own adds to the same option in the line of options."""
    options = typed_options(said["more"])
    lists = {name: _entries(said[name]) for name in ("measured", "stock", "leftover")}
    asked = replace(
        options.asked,
        pipe=said["pipe"] or options.asked.pipe,
        measured=options.asked.measured + lists["measured"],
        stock=options.asked.stock + lists["stock"],
        leftover=options.asked.leftover + lists["leftover"],
    )
    return options._replace(asked=asked)


def _entries(line: str) -> tuple[str, ...]:
    return tuple(entry.strip() for entry in line.split(";") if entry.strip())

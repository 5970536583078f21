"""Small questions over a screen: a line to type, or one of a few to choose."""

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from tui.key_bindings import bindings
from tui.keys import FORM, READING
from tui.screens.leaving import AnsweredOnce


class AskLine(AnsweredOnce[str]):
    """A line to type; Escape gives "".

    Args:
        question: what is asked.
        example: shown while nothing is typed.
        prefilled: what stands there already.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("reading", READING)]

    def __init__(self, question: str, example: str = "", prefilled: str = "") -> None:
        super().__init__()
        self.question, self.example, self.prefilled = question, example, prefilled
        self._early = ""

    def compose(self) -> ComposeResult:
        """Question and line."""
        with Vertical(classes="asking"):
            yield Static(self.question, markup=False)
            yield Input(self.prefilled, placeholder=self.example)
            yield Static("enter takes it, esc cancels", classes="hint")

    def on_key(self, event: Key) -> None:
        """Keys typed before the line was there belong to it."""
        if self.focused is None and event.is_printable and event.character:
            self._early += event.character
            event.stop()

    def on_mount(self) -> None:
        """Take the line, with what was typed ahead."""
        line = self.query_one(Input)
        line.value += self._early
        line.cursor_position = len(line.value)
        line.focus()

    @on(Input.Submitted)
    def _said(self, message: Input.Submitted) -> None:
        self.dismiss(message.value.strip())

    def action_back(self) -> None:
        """Never mind."""
        self.dismiss("")


class AskOne(AnsweredOnce[int]):
    """One of a few, by its number or with the arrows; Escape gives -1.

    Args:
        question: what is asked.
        choices: what there is to choose.
        chosen: position to begin at.
        care: what to mind before one chooses, "" for nothing.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("reading", READING)]

    def __init__(self, question: str, choices: list[str], chosen: int = 0, care: str = "") -> None:
        super().__init__()
        self.question, self.choices, self.chosen, self.care = question, choices, chosen, care

    def compose(self) -> ComposeResult:
        """Question and list; on a low screen a long list scrolls under what is to be minded."""
        with Vertical(classes="asking careful" if self.care else "asking"):
            yield Static(self.question, markup=False)
            if self.care:
                yield Static(self.care, classes="hint", markup=False)
            yield OptionList(*(Option(Text(f"{at}  {choice}")) for at, choice in enumerate(self.choices, 1)))
            yield Static("a number or enter chooses, esc cancels", classes="hint")

    def on_key(self, event: Key) -> None:
        """A number chooses at once."""
        if event.character and event.character.isdecimal() and 1 <= int(event.character) <= len(self.choices):
            event.stop()
            self.dismiss(int(event.character) - 1)

    def on_mount(self) -> None:
        """Begin where the choice stands."""
        self.query_one(OptionList).highlighted = self.chosen

    @on(OptionList.OptionSelected)
    def _chosen(self, message: OptionList.OptionSelected) -> None:
        self.dismiss(message.option_index)

    def action_back(self) -> None:
        """Never mind."""
        self.dismiss(-1)


class AskForm(AnsweredOnce[tuple[str, ...]]):
    """Several lines to type; Enter takes them all, the arrows go from line to line; Escape gives ().

    Args:
        question: what is asked.
        fields: (label, example) of each line.
        prefilled: what stands in each already.
        begin: position of the line to begin in.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("form", FORM)]

    def __init__(
        self, question: str, fields: Sequence[tuple[str, str]], prefilled: Sequence[str], begin: int = 0
    ) -> None:
        super().__init__()
        self.question, self.fields, self.prefilled, self.begin = question, fields, prefilled, begin

    def compose(self) -> ComposeResult:
        """Question and lines."""
        with Vertical(classes="asking"):
            yield Static(self.question, markup=False)
            for (label, example), prefilled in zip(self.fields, self.prefilled, strict=True):
                with Horizontal(classes="field"):
                    yield Static(label, classes="short-label", markup=False)
                    yield Input(prefilled, placeholder=example, compact=True)
            yield Static("enter takes it, up and down change the line, esc cancels", classes="hint")

    def on_mount(self) -> None:
        """Begin in the line that is still to be written."""
        for line in list(self.query(Input))[self.begin : self.begin + 1]:
            line.focus()

    @on(Input.Submitted)
    def _said(self) -> None:
        self.dismiss(tuple(line.value for line in self.query(Input)))

    def action_line(self, by: int) -> None:
        """Another line."""
        lines = list(self.query(Input))
        here = next((at for at, line in enumerate(lines) if line.has_focus), self.begin)
        lines[(here + by) % len(lines)].focus()

    def action_back(self) -> None:
        """Never mind."""
        self.dismiss(())

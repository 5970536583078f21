"""The pieces opened before, and a line for another one."""

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from score.takes.history import History, KnownPiece
from tui.keys import PIECES, bindings
from tui.widgets.foot import Foot


class PiecesScreen(Screen[None]):
    """A list to choose from; typing a path opens another score."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("pieces", PIECES)]

    def __init__(self) -> None:
        super().__init__()
        self.forgotten: list[KnownPiece] = []

    def compose(self) -> ComposeResult:
        """Heading, list, the line for a path."""
        yield Static("Inbreath: your pieces", id="heading")
        yield OptionList(id="pieces")
        yield Input(placeholder="path of a MusicXML score, then Enter", id="path")
        yield Foot()

    @property
    def history(self) -> History:
        """The player's history."""
        return self.app.history  # type: ignore[attr-defined,no-any-return]

    def on_screen_resume(self) -> None:
        """Show what is known now."""
        self._fill()

    def _fill(self) -> None:
        known = self.history.pieces()
        pieces = self.query_one("#pieces", OptionList)
        pieces.clear_options()
        pieces.add_options([Option(_line(piece), id=piece.digest) for piece in known])
        if known:
            pieces.highlighted = 0
            pieces.focus()
        else:
            self.query_one("#path", Input).focus()

    @on(OptionList.OptionSelected)
    def _selected(self, message: OptionList.OptionSelected) -> None:
        piece = next(piece for piece in self.history.pieces() if piece.digest == message.option.id)
        self.app.open_score(piece.path)  # type: ignore[attr-defined]

    @on(Input.Submitted, "#path")
    def _typed(self, message: Input.Submitted) -> None:
        if message.value.strip():
            self.app.open_score(Path(message.value.strip().strip("\"'")).expanduser())  # type: ignore[attr-defined]

    def action_open(self) -> None:
        """Open the chosen piece."""
        self.query_one("#pieces", OptionList).action_select()

    def action_path(self) -> None:
        """Go to the line for a path."""
        self.query_one("#path", Input).focus()

    def action_forget(self) -> None:
        """Take the chosen piece off the list."""
        pieces = self.query_one("#pieces", OptionList)
        if pieces.highlighted is None:
            return
        option = pieces.get_option_at_index(pieces.highlighted)
        piece = next(piece for piece in self.history.pieces() if piece.digest == option.id)
        self.forgotten.append(piece)
        self.history.forget(piece.digest)
        self._fill()
        self.app.notify(f"{piece.title} is removed from the list; its file stays. Ctrl+Z undoes it.", markup=False)

    def undo_last(self) -> str:
        """Bring back the piece taken off last."""
        if not self.forgotten:
            return ""
        piece = self.forgotten.pop()
        self.history.opened(piece.digest, piece.title, piece.path)
        if piece.player is not None:
            self.history.play_as(piece.digest, piece.player)
        self.history.left_at(piece.digest, piece.bar)
        self._fill()
        return f"{piece.title} is back."


def _line(piece: KnownPiece) -> str:
    who = f"player {piece.player}" if piece.player else "player not chosen"
    return f"{piece.title}   {who}   {piece.path}".replace("[", r"\[")

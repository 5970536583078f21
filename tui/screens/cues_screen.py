"""The cues of a player: why each is there, and the group's wishes for and against."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import DataTable, Static

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Cue, Level
from score.errors import InbreathError
from score.group.group_edit import add_table
from score.group.group_file import group_path
from score.places import bars_name, find_bars
from tui.background import beside, edit, take_back
from tui.keys import CUES, bindings
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot


class CuesScreen(Screen[None]):
    """A row a cue; the reasons of the chosen one below."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("cues", CUES)]
    EXPLAIN = "What stands above a player's staff on paper, and why. x leaves a cue out, f asks for one."

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.player = session.me.number
        self.cues: tuple[Cue, ...] = ()
        self.undos: list[Callable[[], None]] = []

    def compose(self) -> ComposeResult:
        """Heading, table, reasons."""
        yield Static("", id="heading", markup=False)
        yield DataTable(id="chunks", cursor_type="row", zebra_stripes=True)
        yield Static("", id="reasons", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Fill the table."""
        table = self.query_one(DataTable)
        for name in ("bars", "shows", "then", "why"):
            table.add_column(name)
        self.renew()
        table.focus()

    def renew(self) -> None:
        """Choose the cues again and list them."""
        beside(self, "cues", self._choice, self._list)

    def _choice(self) -> tuple[Cue, ...]:
        return choose_cues(self.session.piece, self.player, Level.USUAL, self.session.group.cues).cues

    def _list(self, cues: tuple[Cue, ...]) -> None:
        self.cues = cues
        table = self.query_one(DataTable)
        row = table.cursor_row
        table.clear()
        for cue in self.cues:
            table.add_row(*(Text(cell) for cell in self._cells(cue)))
        table.move_cursor(row=max(0, min(row, len(self.cues) - 1)))
        player = self.session.piece.player(self.player)
        self.query_one("#heading", Static).update(f"Cues above {player.name}'s staff: {len(self.cues)}")
        self._explain()

    def _cells(self, cue: Cue) -> tuple[str, ...]:
        piece = self.session.piece
        then = "you" if cue.next_mover == self.player else self._short(cue.next_mover)
        asked = "the group asked for it; " if cue.forced else ""
        first = cue.reasons[0].text if cue.reasons else ""
        return bars_name(piece, cue.bars), self._short(cue.source), then, f"{asked}{first}"

    def _short(self, number: int | None) -> str:
        return self.session.piece.player(number).short if number is not None else ""

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self._explain()

    def _explain(self) -> None:
        cue = self._chosen()
        texts = dict.fromkeys(reason.text for reason in cue.reasons) if cue else {}
        self.query_one("#reasons", Static).update("; ".join(texts))

    def _chosen(self) -> Cue | None:
        row = self.query_one(DataTable).cursor_row
        return self.cues[row] if 0 <= row < len(self.cues) else None

    def action_forbid(self) -> None:
        """Leave the chosen cue out."""
        cue = self._chosen()
        if cue is not None:
            bars = bars_name(self.session.piece, cue.bars)
            self._wish({"player": self.player, "bars": bars, "hide": cue.source})

    def action_force(self) -> None:
        """Ask for a cue."""
        self.app.push_screen(AskLine("Bars and the player to show", "57-66 4"), self._force)

    def _force(self, text: str | None) -> None:
        if not text:
            return
        bars, _, number = text.rpartition(" ")
        if not bars or not number.isdigit():
            self.app.notify("Write bars, a space and a player's number: 57-66 4", severity="warning")
            return
        try:
            find_bars(self.session.piece, bars)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self._wish({"player": self.player, "bars": bars.strip(), "show": int(number)})

    def _wish(self, values: dict[str, object]) -> None:
        path = group_path(self.session.path)

        def written(undo: Callable[[], None]) -> None:
            self.undos.append(undo)
            self.app.notify(f"Written to {path.name}; Ctrl+Z undoes it.", markup=False)
            self.renew()

        edit(self, self.session, lambda: add_table(path, "cue", values), written, self._choice)

    def undo_last(self) -> str:
        """Take back the last wish."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self.renew)
        return "Last wish undone."

    def action_next_player(self) -> None:
        """The next player's cues."""
        numbers = [player.number for player in self.session.piece.players]
        self.player = numbers[(numbers.index(self.player) + 1) % len(numbers)]
        self.renew()

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

"""The players' copies of the group's file: what they disagree about, side by side, settled one by one."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widgets import Static

from score.group.conflicts import Matter, settle, settle_both, text_of
from score.group.gather import Joined
from score.group.gather_files import Gathered, gather_files
from score.group.group_file import group_path
from score.plain_text import several
from score.writing import write_atomically
from tui.background import beside, edit, take_back
from tui.drawing.canvas import stacked
from tui.drawing.chunk_rows import window
from tui.drawing.palette import Palette
from tui.drawing.side_by_side import conflict_list, sides_beside
from tui.key_bindings import bindings
from tui.keys import GATHER
from tui.score_paths import typed_path
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot


class GatherScreen(PictureScreen):
    """Up and down go from place to place, left and right from side to side; Enter takes the chosen side."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("gather", GATHER)]
    EXPLAIN = (
        "Where two of you changed the same thing, both stay in the group's file until one is chosen here. "
        "a joins another player's copy; the copy itself is not changed."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.gathered: Gathered | None = None
        self.chosen = 0
        self.side = 0
        self.undos: list[Callable[[], None]] = []

    def on_mount(self) -> None:
        """Read what is to be settled."""
        self.renew()

    def renew(self) -> None:
        """What the group's file says now."""
        if not group_path(self.session.path).is_file():
            self.gathered = None
            self._draw()
            return
        beside(self, "gather", lambda: gather_files(self.session.path, self.session.piece, ()), self._show)

    def _show(self, gathered: Gathered) -> None:
        self.gathered = gathered
        self.chosen = min(self.chosen, max(0, len(gathered.open) - 1))
        self.side = 0
        self._draw()

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        conflicts = self.gathered.open if self.gathered else ()
        heading = Text(no_wrap=True).append(" Differences", f"bold {colours.ink}")
        heading.append(f"   {len(conflicts)} to settle" if conflicts else "   nothing to settle", colours.faint)
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {colours.panel}")
        lines = [heading, Text("")]
        if conflicts:
            sides = sides_beside(conflicts[self.chosen], self.side, width, colours)
            shown = window(len(conflicts), self.chosen, max(1, height - len(sides) - 4))
            lines += [conflict_list(conflicts, self.chosen, width, colours)[row] for row in shown]
            lines += [Text(""), *sides]
        self.query_one("#picture", Static).update(stacked(lines, width))

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another place."""
        if self.gathered is not None and self.gathered.open:
            self.chosen = min(max(0, self.chosen + by), len(self.gathered.open) - 1)
            self.side = 0
            self._draw()

    def action_side(self, by: int) -> None:
        """Another side."""
        if self.gathered is not None and self.gathered.open:
            self.side = (self.side + by) % len(self.gathered.open[self.chosen].sides)
            self._draw()

    def action_take(self) -> None:
        """Take the chosen side."""
        if self.gathered is not None and self.gathered.open:
            conflict = self.gathered.open[self.chosen]
            side = conflict.sides[self.side]
            where = f"{conflict.where}: " if conflict.where else ""
            self._write(settle(self.gathered.joined, conflict, side), f"{where}{side.words}")

    def action_both(self) -> None:
        """Keep both entries of one place."""
        if self.gathered is None or not self.gathered.open:
            return
        conflict = self.gathered.open[self.chosen]
        if conflict.matter is not Matter.PLACE:
            self.query_one(Foot).say("One entry cannot be two things: choose a side.", is_trouble=True)
            return
        self._write(settle_both(self.gathered.joined, conflict), f"{conflict.where}: both")

    def _write(self, joined: Joined, words: str) -> None:
        self._change(text_of(joined, self.session.piece), f"Settled: {words}. Ctrl+Z undoes it.")

    def _change(self, text: str, said: str) -> None:
        path = group_path(self.session.path)

        def change() -> bytes:
            before = path.read_bytes() if path.is_file() else b""
            write_atomically(path, text.encode())
            return before

        def written(undo: Callable[[], None]) -> None:
            self.undos.append(undo)
            self.query_one(Foot).say(said)
            self.renew()

        edit(self, self.session, change, written)

    def action_add(self) -> None:
        """Join another player's copy."""
        self.app.push_screen(AskLine("Path of another player's copy", "~/quartet.group.toml"), self._add)

    def _add(self, text: str | None) -> None:
        if not text:
            return
        copy = typed_path(text)

        def joined(gathered: Gathered) -> None:
            news = several(len(gathered.news), "change")
            self._change(gathered.text, f"{news} from {copy.name}. Ctrl+Z undoes it.")

        beside(self, "join", lambda: gather_files(self.session.path, self.session.piece, [copy]), joined)

    def undo_last(self) -> str:
        """Take back the last choice."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self.renew)
        return "Last choice undone."

    def action_back(self) -> None:
        """Back."""
        leave(self)

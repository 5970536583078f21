"""The cues of a player: where they stand, why each is there, and the group's wishes for and against."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widgets import Static

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.errors import InbreathError
from score.group.group_edit import add_table, change_table, remove_table
from score.group.group_file import group_path
from score.places import bars_name, find_bars
from tui.background import beside, edit, take_back
from tui.cue_facts import CueRow, CueState, cue_rows
from tui.drawing.canvas import stacked
from tui.drawing.chunk_rows import window
from tui.drawing.cue_picture import cue_line, cue_map
from tui.drawing.lane_sketch import Sketch, sketch, systems
from tui.drawing.palette import Palette, ink_on, style
from tui.key_bindings import bindings
from tui.keys import CUES
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot


class CuesScreen(PictureScreen):
    """The map above, the list below it, the chosen cue over one's own line at the bottom."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("cues", CUES)]
    EXPLAIN = (
        "What stands above a player's staff on paper, and why. + printed, - left out by you, * asked for by you. "
        "A digit shows that player in the chosen bars instead."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.player = session.me.number
        self.cues: tuple[CueRow, ...] = ()
        self.chosen = 0
        self.undos: list[tuple[tuple[object, ...], Callable[[], None]]] = []

    def on_mount(self) -> None:
        """Choose and draw."""
        self.renew()

    def renew(self, bar: int | None = None, source: int = 0) -> None:
        """Choose the cues again and list them.

        Args:
            bar: index of the bar whose cue to go to; None stays.
            source: the player shown there, 0 for whichever.
        """
        player = self.player

        def show(cues: tuple[CueRow, ...]) -> None:
            self.cues = cues
            if bar is not None:
                rows = [row for row, cue in enumerate(cues) if bar in cue.bars]
                same = [row for row in rows if cues[row].source == source]
                self.chosen = next(iter([*same, *rows]), self.chosen)
            self._draw()

        beside(self, "cues", lambda: cue_rows(self.session, player), show)

    # Drawing.

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        piece, colours = self.session.piece, self._colours
        self.chosen = max(0, min(self.chosen, len(self.cues) - 1))
        lines = [self._heading(width)]
        lines += cue_map(piece, self.player, self.cues, self.chosen, width, colours).split("\n")
        below = self._below((width, height - len(lines) - len(self.cues)))
        room = height - len(lines) - len(below)
        for row in window(len(self.cues), self.chosen, max(1, room)):
            lines.append(cue_line(piece, self.player, self.cues[row], width, colours, row == self.chosen))
        lines += [Text("")] * (height - len(lines) - len(below)) + below
        self.query_one("#picture", Static).update(stacked(lines, width))
        cue = self._cue()
        self.query_one(Foot).idle = Text("; ".join(cue.reasons) if cue else "", colours.ink)

    def _heading(self, width: int) -> Text:
        colours, colour = self._colours, self._colours.player(self.player)
        text = Text(" ", no_wrap=True)
        text.append("Cues above ", style(colours.ink, bold=True))
        text.append(f" {self.player} ", style(ink_on(colour), colour, bold=True))
        counts = [sum(cue.state is state for cue in self.cues) for state in CueState]
        text.append(f"  {counts[0]} printed, {counts[1]} left out, {counts[2]} asked for", colours.faint)
        text.truncate(width, pad=True)
        text.stylize_before(f"on {colours.panel}")
        return text

    def _below(self, size: tuple[int, int]) -> list[Text]:
        """The chosen cue over the player's own line, from a bar before it on; everybody where there is room."""
        cue, piece = self._cue(), self.session.piece
        width, room = size
        if cue is None:
            return []
        everybody = tuple(player.number for player in piece.players)
        if room > len(everybody) + 2:
            bars = range(max(0, cue.bars[0] - 2), len(piece.bars))
            return systems(piece, bars, Sketch(everybody, self.player, cue.source), (width, room - 1), self._colours)
        bars = range(max(0, cue.bars[0] - 1), min(len(piece.bars), cue.bars[-1] + 2))
        players = (cue.source, self.player) if cue.source else (self.player,)
        return list(sketch(piece, bars, Sketch(players, self.player, cue.source), width, self._colours).split("\n"))

    def _cue(self) -> CueRow | None:
        return self.cues[self.chosen] if self.chosen < len(self.cues) else None

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another cue."""
        self.chosen += by
        self._draw()

    def action_print(self) -> None:
        """Leave the chosen cue out, or print it again; what was asked for is no longer asked for."""
        cue, path = self._cue(), group_path(self.session.path)
        if cue is None:
            return
        name = ("cue", self.player, cue.bars, cue.source)
        if cue.wish is not None:
            if self.undos and self.undos[-1][0] == name:
                # Nothing came after it: the file gets the bytes it had.
                self._undone(cue.bars[0], cue.source)
                return
            at = cue.wish
            self._wish(name, lambda: remove_table(path, "cue", at), cue.bars[0], cue.source)
            return
        values = {"player": self.player, "bars": bars_name(self.session.piece, cue.bars), "hide": cue.source}
        self._wish(name, lambda: add_table(path, "cue", values), cue.bars[0], cue.source)

    def action_show(self, number: int) -> None:
        """Show another player in the chosen cue's bars."""
        cue, path = self._cue(), group_path(self.session.path)
        if cue is None or number == self.player or number not in [p.number for p in self.session.piece.players]:
            return
        bars = bars_name(self.session.piece, cue.bars)
        name = ("show", self.player, cue.bars, number)
        if cue.wish is not None:
            at = cue.wish
            self._wish(name, lambda: change_table(path, "cue", at, {"show": number, "hide": None}), cue.bars[0], number)
        else:
            values = {"player": self.player, "bars": bars, "show": number}
            self._wish(name, lambda: add_table(path, "cue", values), cue.bars[0], number)

    def action_add(self) -> None:
        """Ask for a cue."""
        self.app.push_screen(AskLine("Bars and the player to show", "57-66 4"), self._add)

    def _add(self, text: str | None) -> None:
        if not text:
            return
        bars, _, number = text.rpartition(" ")
        if not bars or not number.isdecimal():
            self.query_one(Foot).say("Write bars, a space and a player's number: 57-66 4", is_trouble=True)
            return
        try:
            first = find_bars(self.session.piece, bars)[0]
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        values = {"player": self.player, "bars": bars.strip(), "show": int(number)}
        path = group_path(self.session.path)
        self._wish(("add", text), lambda: add_table(path, "cue", values), first, int(number))

    def _wish(self, name: tuple[object, ...], change: Callable[[], bytes], bar: int, source: int) -> None:
        def written(undo: Callable[[], None]) -> None:
            self.undos.append((name, undo))
            self.query_one(Foot).say(f"Written to {group_path(self.session.path).name}. Ctrl+Z undoes it.")
            self.renew(bar, source)

        edit(self, self.session, change, written, self._holds)

    def _holds(self) -> None:
        choose_cues(self.session.piece, self.player, Level.USUAL, self.session.group.cues)

    def _undone(self, bar: int | None = None, source: int = 0) -> None:
        take_back(self, self.undos.pop()[1], lambda: self.renew(bar, source))

    def undo_last(self) -> str:
        """Take back the last wish."""
        if not self.undos:
            return ""
        self._undone()
        return "Last wish undone."

    def action_next_player(self) -> None:
        """The next player's cues."""
        numbers = [player.number for player in self.session.piece.players]
        self.player = numbers[(numbers.index(self.player) + 1) % len(numbers)]
        self.chosen = 0
        self.renew()

    def action_back(self) -> None:
        """Back."""
        leave(self)

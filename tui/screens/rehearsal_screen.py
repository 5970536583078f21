"""In rehearsal: the plan's items one after another with the minutes left, and notes for the group's file."""

import time
from collections.abc import Callable
from datetime import date
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Static

from score.errors import InbreathError
from score.group.group_edit import add_table
from score.group.group_file import group_path, group_tables
from score.places import bar_name, find_bar
from score.plan.from_group import group_concert, group_minutes, group_rehearsals
from score.plan.plan import item_name
from score.plan.plan_of_piece import MadePlan, plan_of
from tui.background import beside, edit, take_back
from tui.keys import REHEARSAL, bindings
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot


def open_rehearsal(screen: Screen[Any], session: Session) -> None:
    """Open the next rehearsal of the group's file, or say what is missing."""

    def show(made: MadePlan | None) -> None:
        if made is None:
            screen.app.notify("No rehearsal is planned: p plans them.")
        elif screen.is_current:
            screen.app.push_screen(RehearsalScreen(session, made))

    beside(screen, "rehearsal", lambda: _next_plan(session), show)


def _next_plan(session: Session) -> MadePlan | None:
    rehearsals, concert = group_rehearsals(session.group), group_concert(session.group)
    coming = tuple(rehearsal for rehearsal in rehearsals if rehearsal.start.date() >= date.today())
    if not coming or concert is None:
        return None
    minutes = group_minutes(session.group)
    return plan_of(session.piece, session.group, coming, concert, date.today(), minutes)


class RehearsalScreen(Screen[None]):
    """One item at a time, large; what comes next; a clock that can be stopped."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("rehearsal", REHEARSAL)]
    EXPLAIN = "n and b go through the items; e writes a note for a bar and player into the group's file."

    def __init__(self, session: Session, made: MadePlan, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self.session, self.made, self.clock = session, made, clock
        self.items = made.plan.items[0]
        self.item = 0
        self.spent = 0.0
        self.since: float | None = clock()
        self.undos: list[Callable[[], None]] = []

    def compose(self) -> ComposeResult:
        """Heading, the item, the clock, what follows, notes."""
        yield Static("", id="heading", markup=False)
        yield Static("", id="item", markup=False)
        yield Static("", id="clock", markup=False)
        yield Static("", id="following", markup=False)
        yield Static("", id="notes", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Begin."""
        rehearsal = self.made.plan.inputs.rehearsals[0]
        self.query_one("#heading", Static).update(f"Rehearsal {rehearsal.start:%Y-%m-%d %H:%M}")
        self._draw()
        self.set_interval(0.5, self._tick)

    @property
    def left(self) -> float:
        """Seconds left for this item; negative when it runs over."""
        passed = self.spent + (self.clock() - self.since if self.since is not None else 0.0)
        return 60 * self.items[self.item].minutes - passed if self.items else 0.0

    def _draw(self) -> None:
        inputs = self.made.plan.inputs
        if not self.items:
            self.query_one("#item", Static).update("Nothing fits into this rehearsal; p shows why.")
            return
        item = self.items[self.item]
        name = item_name(inputs, item)
        self.query_one("#item", Static).update(f"{self.item + 1} of {len(self.items)}   {name}\n{item.reason}")
        after = [f"{i.minutes:3} min  {item_name(inputs, i)}" for i in self.items[self.item + 1 : self.item + 6]]
        self.query_one("#following", Static).update("\n".join(["then", *after]) if after else "This is the last.")
        notes = [
            f"bar {table.text('bar')}, player {table.text('player') or 'all'}: {table.text('text')}"
            for table in group_tables(self.session.group, "note")
        ]
        self.query_one("#notes", Static).update("\n".join(["notes", *notes[-6:]]) if notes else "")
        self._tick()

    def _tick(self) -> None:
        left = round(self.left)
        side = "over" if left < 0 else "left"
        stopped = "  (clock stopped)" if self.since is None else ""
        self.query_one("#clock", Static).update(f"{abs(left) // 60}:{abs(left) % 60:02} {side}{stopped}")

    def action_step(self, by: int) -> None:
        """The next item, or the one before."""
        if 0 <= self.item + by < len(self.items):
            self.item += by
            self.spent, self.since = 0.0, self.clock() if self.since is not None else None
            self._draw()

    def action_hold_clock(self) -> None:
        """Stop or start the clock."""
        if self.since is None:
            self.since = self.clock()
        else:
            self.spent += self.clock() - self.since
            self.since = None
        self._tick()

    def action_note(self) -> None:
        """Write a note."""
        self.app.push_screen(AskLine("Bar, player (or all) and note", "31 2 breathe with 3"), self._note)

    def _note(self, text: str | None) -> None:
        if not text:
            return
        bar, _, rest = text.partition(" ")
        who, _, words = rest.partition(" ")
        if not words:
            self.app.notify("Write a bar, a player's number or all, and the note: 31 2 breathe with 3")
            return
        try:
            label = bar_name(self.session.piece, find_bar(self.session.piece, bar))
            values: dict[str, object] = {"bar": label, "text": words.strip()}
            if who.isdigit():
                values["player"] = int(who)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return

        def written(undo: Callable[[], None]) -> None:
            self.undos.append(undo)
            self._draw()

        edit(self, self.session, lambda: add_table(group_path(self.session.path), "note", values), written)

    def undo_last(self) -> str:
        """Take back the last note."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self._draw)
        return "Last note undone."

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

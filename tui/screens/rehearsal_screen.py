"""In rehearsal: the item at hand with the minutes left, what is agreed and tried there, notes, the protocol."""

import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Static

from score.errors import InbreathError
from score.group.agreements import DROPPED, TRIED, Agreement, agreements
from score.group.group_edit import add_table, change_table
from score.group.group_file import group_path
from score.places import bar_name, find_bar
from score.plain_text import file_stem
from score.plan.plan_of_piece import MadePlan
from score.plan.protocol import Protocol, Worked, protocol_markdown
from score.writing import write_atomically
from tui import clock
from tui.background import beside, edit, take_back
from tui.drawing.palette import Palette
from tui.drawing.rehearsal_picture import Evening, rehearsal_picture
from tui.key_bindings import bindings
from tui.keys import REHEARSAL
from tui.output_folder import default_folder
from tui.planning import plan_for, standings_of
from tui.rehearsal_clock import RehearsalClock
from tui.rehearsal_facts import ItemFacts, boxes_of_items, item_facts
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskForm
from tui.session import Session
from tui.widgets.foot import Foot


def open_rehearsal(screen: Screen[Any], session: Session) -> None:
    """Open the next rehearsal of the group's file, or say what is missing."""

    def show(schedule: MadePlan | None) -> None:
        if schedule is None:
            screen.app.notify("No rehearsal is planned yet: press p.")
        elif screen.is_current:
            screen.app.push_screen(RehearsalScreen(session, schedule))

    standings = standings_of(session)
    beside(screen, "rehearsal", lambda: plan_for(session, standings, clock.today()), show)


class RehearsalScreen(PictureScreen):
    """One item at a time, large; the evening as boxes; a clock that starts with a key.

    Args:
        session: the opened piece.
        schedule: the plan.
        position: of the rehearsal among those of the plan.
        seconds: a clock that only goes forward.
        now: the time of day.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("rehearsal", REHEARSAL)]
    EXPLAIN = (
        "n and b go through the items, space starts the clock. What is only tried in these bars stands first: y makes "
        "the chosen one agreed, x drops it. a s d f say how the item went. All of it goes into the evening's protocol."
    )

    def __init__(
        self,
        session: Session,
        schedule: MadePlan,
        position: int = 0,
        seconds: Callable[[], float] = time.monotonic,
        now: Callable[[], datetime] = clock.now,
    ) -> None:
        super().__init__()
        self.session, self.schedule, self.now = session, schedule, now
        self.rehearsal, self.items = schedule.plan.inputs.rehearsals[position], schedule.plan.items[position]
        minutes, begins = [item.minutes for item in self.items], [item.begins for item in self.items]
        self.clock = RehearsalClock(minutes, begins, self.rehearsal.start, seconds=seconds, now=now)
        self.facts: ItemFacts | None = None
        self.chosen = 0
        self.how: dict[int, str] = {}
        self.decided: list[str] = []
        self.noted: list[str] = []
        self.undos: list[tuple[list[str] | None, Callable[[], None]]] = []

    def on_mount(self) -> None:
        """Show the first item; the clock waits for the space bar."""
        self._gather()
        self.set_interval(0.5, self._draw)

    # Drawing.

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    @property
    def item(self) -> int:
        """Position of the item at hand."""
        return self.clock.item

    def _gather(self) -> None:
        """What is said of the item at hand, from the group's file as it is now."""
        if self.items:
            try:
                self.facts = item_facts(self.session, self.schedule, self.items[self.item], self.rehearsal.missing)
            except InbreathError as error:
                self.app.show_error(error)  # type: ignore[attr-defined]
            self.chosen = min(self.chosen, max(0, len(self._tried) - 1))
        self._draw()

    @property
    def _tried(self) -> list[Agreement]:
        return [matter for matter in self.facts.matters if matter.state == TRIED] if self.facts else []

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        boxes = boxes_of_items(self.schedule.plan, self.items, self.clock.minutes)
        evening = Evening(
            self.rehearsal, self.facts, self.session.me.number,
            boxes=boxes, item=self.item, how=self.how, chosen=self.chosen,
            left=round(self.clock.left) if self.items else 0, behind=self.clock.behind,
            is_running=self.clock.is_running, now=self.now(),
        )  # fmt: skip
        self.query_one("#picture", Static).update(
            rehearsal_picture(self.session.piece, evening, (width, height), self._colours)
        )
        after = "  ".join(f"{name} {minutes}" for name, minutes in boxes[self.item + 1 : self.item + 6])
        self.query_one(Foot).idle = Text(f"then {after}" if after else "This is the last item.", self._colours.faint)

    # What the keys do.

    def action_step(self, by: int) -> None:
        """The next item, or the one before."""
        if 0 <= self.item + by < len(self.items):
            self.clock.go(self.item + by)
            self.chosen = 0
            self._gather()

    def action_hold_clock(self) -> None:
        """Start or stop the clock."""
        if self.items:
            self.clock.toggle()
            self._draw()

    def action_longer(self) -> None:
        """Two minutes more for this item."""
        if self.items:
            self.clock.longer(2)
            self._draw()

    def action_went(self, words: str) -> None:
        """Say how the item went."""
        if self.items and self.facts is not None:
            self.how[self.item] = words
            self.query_one(Foot).say(f"{self.facts.name}: {words}")
            self._keep()
            self._draw()

    def action_choose(self, by: int) -> None:
        """Another of what is tried here."""
        self.chosen = max(0, min(self.chosen + by, len(self._tried) - 1))
        self._draw()

    def action_settle(self, state: str) -> None:
        """Make the chosen one agreed, or drop it."""
        if not self._tried:
            self.query_one(Foot).say("Nothing is only tried in these bars.")
            return
        matter, path = self._tried[self.chosen], group_path(self.session.path)
        verb = "dropped" if state == DROPPED else "agreed"

        def written(undo: Callable[[], None]) -> None:
            self.decided.append(f"{matter.line} ({verb})")
            self.undos.append((self.decided, undo))
            self.query_one(Foot).say(f"{verb}: {matter.line}. Ctrl+Z undoes it.")
            self._kept()

        edit(self, self.session, lambda: change_table(path, matter.kind, matter.position, {"state": state}), written)

    def action_note(self) -> None:
        """Write a note for a bar and a player."""
        bars = self.facts.bars if self.facts else None
        label = bar_name(self.session.piece, bars[0]) if bars else "1"
        self._ask_note((label, "all", ""))

    def _ask_note(self, written: tuple[str, ...]) -> None:
        fields = (("bar", "31, C or C+8"), ("player", "a number, or all"), ("note", "breathe with 3"))
        self.app.push_screen(AskForm("Note", fields, written, begin=2), self._note)

    def _note(self, answers: tuple[str, ...] | None) -> None:
        if not answers or not answers[2].strip():
            return
        bar, who, text = (answer.strip() for answer in answers)
        numbers = [str(player.number) for player in self.session.piece.players]
        try:
            label = bar_name(self.session.piece, find_bar(self.session.piece, bar))
        except InbreathError as error:
            self._again(answers, error.line)
            return
        if who not in ("", "all", *numbers):
            self._again(answers, f"No player {who}: write {', '.join(numbers)} or all.")
            return
        values: dict[str, object] = {"bar": label, "text": text} | ({"player": int(who)} if who in numbers else {})

        def written(undo: Callable[[], None]) -> None:
            self.noted.append(f"bar {label}, {f'player {who}' if who in numbers else 'all'}: {text}")
            self.undos.append((self.noted, undo))
            self._kept()

        edit(self, self.session, lambda: add_table(group_path(self.session.path), "note", values), written)

    def _again(self, answers: tuple[str, ...], why: str) -> None:
        """Nothing that was typed is lost: the same lines once more, and what is wrong."""
        self._ask_note(answers)
        self.query_one(Foot).say(why, is_trouble=True)

    def undo_last(self) -> str:
        """Take back the last note or decision."""
        if not self.undos:
            return ""
        lines, undo = self.undos.pop()
        if lines:
            lines.pop()
        take_back(self, undo, self._kept)
        return "Last note or decision undone."

    # The protocol.

    def _kept(self) -> None:
        self._gather()
        self._keep()

    @property
    def protocol_path(self) -> Path:
        """Where the evening's protocol goes."""
        name = f"{file_stem(self.session.path)}-rehearsal-{self.rehearsal.start:%Y-%m-%d}.md"
        return default_folder(self.session.path) / name

    def _keep(self, done: Callable[[Path], None] = lambda _: None) -> None:
        """Write the protocol as it stands now; it is small and whole every time."""
        worked = [
            Worked(name, minutes, round(self.clock.spent_on(at) / 60), how=self.how.get(at, ""))
            for at, (name, minutes) in enumerate(boxes_of_items(self.schedule.plan, self.items, self.clock.minutes))
            if self.clock.spent_on(at) >= 30 or at in self.how
        ]
        tried = [m.line for m in agreements(self.session.piece, self.session.group) if m.state == TRIED]
        protocol = Protocol(
            self.session.piece.title, self.rehearsal.start, self.rehearsal.missing,
            worked=worked, decided=tuple(self.decided), notes=tuple(self.noted), open=tried,
        )  # fmt: skip
        text, path = protocol_markdown(protocol).encode(), self.protocol_path
        beside(self, "protocol", lambda: write_atomically(path, text), done)

    def action_write(self) -> None:
        """Write the protocol."""
        self._keep(lambda path: self.query_one(Foot).say(f"The protocol is {path}"))

    def action_back(self) -> None:
        """Back; what was worked on is kept."""
        if self.clock.behind is not None:
            self._keep(lambda _: None)
        leave(self)

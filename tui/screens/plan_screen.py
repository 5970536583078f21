"""The plan's inputs and the order that follows from them."""

from collections.abc import Callable
from datetime import date, datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from score.errors import InbreathError
from score.group.group_edit import add_table, change_table, remove_table, set_value
from score.group.group_file import group_path
from score.plan.from_group import group_concert, group_minutes, group_rehearsals
from score.plan.plan_of_piece import plan_of
from score.plan.plan_texts import plan_text
from tui.background import beside, edit, take_back
from tui.keys import PLAN, bindings
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot


class PlanScreen(Screen[None]):
    """Rehearsals above, the order below; each change is seen at once and can be undone."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("plan", PLAN)]
    EXPLAIN = "Rehearsals stand in the group's file; what is changed here is written there."

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.undos: list[Callable[[], None]] = []

    def compose(self) -> ComposeResult:
        """Heading, rehearsals, the plan."""
        yield Static("", id="heading", markup=False)
        yield OptionList(id="rehearsals")
        with VerticalScroll(id="plan"):
            yield Static("", id="order", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Show what there is."""
        self.renew()
        self.query_one("#rehearsals", OptionList).focus()

    def renew(self) -> None:
        """Rehearsals and the plan again."""
        rehearsals = self.query_one("#rehearsals", OptionList)
        chosen = rehearsals.highlighted
        rehearsals.clear_options()
        concert: date | None = None
        try:
            found, concert = group_rehearsals(self.session.group), group_concert(self.session.group)
            for rehearsal in found:
                away = f"   missing: {', '.join(map(str, rehearsal.missing))}" if rehearsal.missing else ""
                rehearsals.add_option(Option(f"{rehearsal.start:%Y-%m-%d %H:%M}   {rehearsal.minutes} minutes{away}"))
            if found:
                rehearsals.highlighted = min(chosen or 0, len(found) - 1)
        except InbreathError as error:
            self._show_order(error.line)
        else:
            beside(self, "plan", self._order, self._show_order, lambda error: self._show_order(error.line))
        self.query_one("#heading", Static).update(
            f"Plan: {f'concert {concert}' if concert else 'no concert date yet (press d)'}"
        )

    def _show_order(self, text: str) -> None:
        self.query_one("#order", Static).update(text)

    def _order(self) -> str:
        rehearsals, concert = group_rehearsals(self.session.group), group_concert(self.session.group)
        if not rehearsals or concert is None:
            return "Add rehearsals (a) and the concert's date (d), and the order appears here."
        minutes = group_minutes(self.session.group)
        made = plan_of(self.session.piece, self.session.group, rehearsals, concert, date.today(), minutes)
        return plan_text(made.plan)

    def action_add(self) -> None:
        """Add a rehearsal."""
        self.app.push_screen(AskLine("Date, time and minutes", "2027-03-02 19:00 90"), self._add)

    def _add(self, text: str | None) -> None:
        if not text:
            return
        when, _, minutes = text.replace("/", " ").rpartition(" ")
        try:
            start = datetime.fromisoformat(when.strip())
            values = {"at": start, "minutes": int(minutes)}
        except ValueError:
            self.app.notify("Write date, time and minutes: 2027-03-02 19:00 90", severity="warning")
            return
        path = group_path(self.session.path)
        self._change(lambda: add_table(path, "rehearsal", values))

    def action_remove(self) -> None:
        """Take the chosen rehearsal out."""
        chosen = self.query_one("#rehearsals", OptionList).highlighted
        if chosen is not None:
            self._change(lambda: remove_table(group_path(self.session.path), "rehearsal", chosen))

    def action_missing(self) -> None:
        """Who cannot come to the chosen rehearsal."""
        chosen = self.query_one("#rehearsals", OptionList).highlighted
        if chosen is not None:
            self.app.push_screen(
                AskLine("Numbers of the players who cannot come", "2 3, or nothing for nobody"),
                lambda text: self._missing(chosen, text),
            )

    def _missing(self, chosen: int, text: str | None) -> None:
        if text is None:
            return
        players = [int(word) for word in text.replace(",", " ").split() if word.isdigit()]
        path = group_path(self.session.path)
        self._change(lambda: change_table(path, "rehearsal", chosen, {"missing": players or None}))

    def action_concert(self) -> None:
        """The concert's date."""
        self.app.push_screen(AskLine("Date of the concert", "2027-03-14"), self._concert)

    def _concert(self, text: str | None) -> None:
        if not text:
            return
        try:
            day = date.fromisoformat(text)
        except ValueError:
            self.app.notify("Write the date as 2027-03-14", severity="warning")
            return
        self._change(lambda: set_value(group_path(self.session.path), "concert", day))

    def action_minutes(self) -> None:
        """How many minutes a day the player practises."""
        self.app.push_screen(AskLine("Minutes a day you practise alone", "45"), self._minutes)

    def _minutes(self, text: str | None) -> None:
        if not text:
            return
        if not text.isdigit():
            self.app.notify("Write a whole number of minutes: 45", severity="warning")
            return
        path, me = group_path(self.session.path), self.session.me.number
        numbers = [number for number, _ in group_minutes(self.session.group)]

        def change() -> bytes:
            values = {"player": me, "minutes": int(text)}
            if me not in numbers:
                return add_table(path, "practice", values)
            return change_table(path, "practice", numbers.index(me), values)

        self._change(change)

    def _change(self, change: Callable[[], bytes]) -> None:
        def written(undo: Callable[[], None]) -> None:
            self.undos.append(undo)
            self.renew()

        edit(self, self.session, change, written)

    def undo_last(self) -> str:
        """Take back the last change."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self.renew)
        return "Last change undone."

    def action_back(self) -> None:
        """Back."""
        self.app.pop_screen()

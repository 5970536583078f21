"""The plan as a row of days up to the concert, and the order of the chosen day's rehearsal."""

from collections.abc import Callable
from datetime import date, datetime
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.timer import Timer
from textual.widgets import Static

from score.errors import InbreathError
from score.group.group_edit import add_table, change_table, remove_table, set_value
from score.group.group_file import group_path
from score.plan.from_group import check_rehearsing, group_concert, group_minutes, player_minutes
from score.plan.plan_of_piece import MadePlan
from tui import clock
from tui.background import beside, edit, take_back
from tui.drawing.canvas import stacked
from tui.drawing.day_row import day_row
from tui.drawing.palette import Palette
from tui.drawing.plan_lines import day_title, day_words, plan_heading, rehearsal_lines
from tui.key_bindings import bindings
from tui.keys import PLAN
from tui.memory_facts import minutes_planned
from tui.plan_days import PlacedRehearsal, days_of, own_words, placed, shown_days, typed_players
from tui.planning import plan_for, standings_of
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.widgets.foot import Foot

_WAIT = 0.3
"""Seconds without a change after which the plan is made anew."""


class PlanScreen(PictureScreen):
    """Left and right go from day to day; each change is written at once and can be undone."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("plan", PLAN)]
    EXPLAIN = (
        "One column per day: your own minutes as heights, rehearsals as boxes. Rehearsals stand in the group's file; "
        "a digit says that a player cannot come to the chosen one, or can after all."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.today = clock.today()
        self.schedule: MadePlan | None = None
        self.rehearsals: tuple[PlacedRehearsal, ...] = ()
        self.days: tuple[date, ...] = (self.today,)
        self.chosen = 0
        self.line = 0
        self.last = "19:00 90"
        self.undos: list[Callable[[], None]] = []
        self._coming: Timer | None = None

    def on_mount(self) -> None:
        """Show what there is, at the first rehearsal."""
        self._read()
        coming = [
            entry.rehearsal.start.date() for entry in self.rehearsals if entry.rehearsal.start.date() >= self.today
        ]
        self.chosen = (coming[0] - self.today).days if coming else 0
        self.renew(wait=0.0)

    def renew(self, wait: float = _WAIT) -> None:
        """Days at once, the plan when nothing has changed for a moment."""
        self._read()
        self._draw()
        if self._coming is not None:
            self._coming.stop()
        self._coming = self.set_timer(max(wait, 0.001), self._plan)

    def _plan(self) -> None:
        standings = standings_of(self.session)
        beside(self, "plan", lambda: plan_for(self.session, standings, self.today), self._planned, self._refused)

    def _planned(self, schedule: MadePlan | None) -> None:
        self.schedule = schedule
        self._draw()

    def _refused(self, error: InbreathError) -> None:
        self.schedule = None
        self._draw()
        self.query_one(Foot).idle = Text(error.line, self._colours.caution)

    def _read(self) -> None:
        try:
            self.rehearsals = placed(self.session.group)
        except InbreathError as error:
            self.rehearsals = ()
            self.app.show_error(error)  # type: ignore[attr-defined]
        self.days = days_of(self.session.group, self.rehearsals, self.today)
        self.chosen = min(self.chosen, len(self.days) - 1)

    # Drawing.

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    @property
    def _here(self) -> PlacedRehearsal | None:
        """The chosen day's rehearsal."""
        day = self.days[self.chosen]
        return next((entry for entry in self.rehearsals if entry.rehearsal.start.date() == day), None)

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        me, colours = self.session.me.number, self._colours
        asked = minutes_planned(self.session)
        days = shown_days(self.days, self.session.group, self.rehearsals, self.schedule, me, asked)
        own = own_words(self.schedule, me, self.days[self.chosen], asked)
        lines = [
            plan_heading(group_concert(self.session.group), self.today, width, colours),
            *day_row(days, self.chosen, me, width, colours).split("\n"),
            day_title(self.days[self.chosen], self._here.rehearsal if self._here else None, own, me, colours),
        ]
        body = self._body(width)
        room = height - len(lines)
        self.line = min(self.line, max(0, len(body) - room))
        lines += body[self.line : self.line + room]
        self.query_one("#picture", Static).update(stacked(lines, width))
        left = "; ".join(line.split(": no time")[0] for line in self.schedule.plan.left_out) if self.schedule else ""
        idle = f"no time for: {left}" if left else "" if self.schedule else self._wanted()
        self.query_one(Foot).idle = Text(idle, colours.caution if left else colours.faint)

    def _wanted(self) -> str:
        concert = group_concert(self.session.group)
        if concert is None:
            return "No concert date yet: go to the day and press d."
        return "Making the plan ..." if self.rehearsals else "No rehearsals yet: go to a day and press a."

    def _body(self, width: int) -> list[Text]:
        entry = self._here
        if entry is None or self.schedule is None:
            return []
        starts = [rehearsal.start for rehearsal in self.schedule.plan.inputs.rehearsals]
        if entry.rehearsal.start not in starts:
            return []
        return rehearsal_lines(self.schedule.plan, starts.index(entry.rehearsal.start), width, self._colours)

    # What the keys do.

    def action_day(self, by: int) -> None:
        """Another day."""
        self.chosen, self.line = min(max(0, self.chosen + by), len(self.days) - 1), 0
        self._draw()

    def action_next_rehearsal(self) -> None:
        """The next rehearsal, and after the last one the first."""
        places = [(entry.rehearsal.start.date() - self.today).days for entry in self.rehearsals]
        coming = [place for place in places if place >= 0]
        if coming:
            self.action_day(next((place for place in coming if place > self.chosen), coming[0]) - self.chosen)

    def action_scroll(self, by: int) -> None:
        """Lines that do not fit."""
        self.line = max(0, self.line + by)
        self._draw()

    def action_add(self) -> None:
        """A rehearsal on the chosen day, at the time of the last one."""
        day = day_words(self.days[self.chosen])
        self.app.push_screen(AskLine(f"{day}: time and minutes", "19:00 90", self.last), self._add)

    def _add(self, text: str | None) -> None:
        if not text:
            return
        when, _, minutes = text.partition(" ")
        try:
            start = datetime.combine(self.days[self.chosen], datetime.strptime(when, "%H:%M").time())
            length = int(minutes)
        except ValueError:
            length = 0
        if length < 1:
            self.query_one(Foot).say("Write the time and the minutes: 19:00 90", is_trouble=True)
            return
        self.last = text
        values = {"at": start, "minutes": length}
        self._change(lambda: add_table(group_path(self.session.path), "rehearsal", values))

    def action_rehearse(self) -> None:
        """Open the chosen day's rehearsal."""
        from tui.screens.rehearsal_screen import RehearsalScreen

        entry = self._here
        starts = [rehearsal.start for rehearsal in self.schedule.plan.inputs.rehearsals] if self.schedule else []
        if self.schedule is not None and entry is not None and entry.rehearsal.start in starts:
            self.app.push_screen(RehearsalScreen(self.session, self.schedule, starts.index(entry.rehearsal.start)))

    def action_remove(self) -> None:
        """Remove the chosen day's rehearsal."""
        entry = self._here
        if entry is not None:
            self._change(lambda: remove_table(group_path(self.session.path), "rehearsal", entry.position))

    def action_longer(self, by: int) -> None:
        """More or fewer minutes."""
        entry = self._here
        if entry is not None and entry.rehearsal.minutes + by > 0:
            self._rehearsal({"minutes": entry.rehearsal.minutes + by})

    def action_away(self, number: int) -> None:
        """A player cannot come to the chosen rehearsal, or can after all."""
        entry = self._here
        if entry is not None and number in [player.number for player in self.session.piece.players]:
            missing = sorted({*entry.rehearsal.missing} ^ {number})
            self._rehearsal({"missing": missing or None})

    def action_missing(self) -> None:
        """Who cannot come to the chosen rehearsal."""
        entry = self._here
        if entry is None:
            self.query_one(Foot).say("There is no rehearsal on this day: a adds one.")
            return
        missing = " ".join(map(str, entry.rehearsal.missing))
        question = "Numbers of the players who cannot come"
        self.app.push_screen(AskLine(question, "2 3, or nothing for nobody", missing), self._missing)

    def _missing(self, text: str | None) -> None:
        if text is not None and self._here is not None:
            self._rehearsal({"missing": typed_players(self.session.piece, text) or None})

    def _rehearsal(self, values: dict[str, object]) -> None:
        entry, path = self._here, group_path(self.session.path)
        if entry is not None:
            self._change(lambda: change_table(path, "rehearsal", entry.position, values))

    def action_concert(self) -> None:
        """The concert is on the chosen day."""
        day = self.days[self.chosen]
        self._change(lambda: set_value(group_path(self.session.path), "concert", day))

    def action_date(self) -> None:
        """Go to a day by its date."""
        self.app.push_screen(AskLine("Date", "2027-03-14"), self._date)

    def _date(self, text: str | None) -> None:
        if not text:
            return
        try:
            day = date.fromisoformat(text)
        except ValueError:
            self.query_one(Foot).say("Write the date as 2027-03-14", is_trouble=True)
            return
        if not 0 <= (day - self.today).days <= 5 * 366:
            self.query_one(Foot).say("That day has passed, or is more than five years away.", is_trouble=True)
            return
        more = range(len(self.days), (day - self.today).days + 1)
        self.days += tuple(date.fromordinal(self.today.toordinal() + count) for count in more)
        self.action_day((day - self.today).days - self.chosen)

    def action_minutes(self) -> None:
        """How many minutes a day the player practises."""
        try:
            minutes = player_minutes(self.session.group, self.session.me.number)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self.app.push_screen(AskLine("Minutes a day you practise alone", "45", str(minutes)), self._minutes)

    def _minutes(self, text: str | None) -> None:
        if not text:
            return
        if not text.isdecimal():
            self.query_one(Foot).say("Write a whole number of minutes: 45", is_trouble=True)
            return
        path, me = group_path(self.session.path), self.session.me.number
        numbers = [number for number, _ in group_minutes(self.session.group)]
        if me in numbers:
            self._change(lambda: change_table(path, "practice", numbers.index(me), {"minutes": int(text)}))
        else:
            self._change(lambda: add_table(path, "practice", {"player": me, "minutes": int(text)}))

    def _change(self, change: Callable[[], bytes]) -> None:
        def written(undo: Callable[[], None]) -> None:
            self.undos.append(undo)
            self.renew()

        # Minutes that no plan can be made with go out of the file again.
        edit(self, self.session, change, written, lambda: check_rehearsing(self.session.group))

    def undo_last(self) -> str:
        """Take back the last change."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self.renew)
        return "Last change undone."

    def action_back(self) -> None:
        """Back."""
        leave(self)

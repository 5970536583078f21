"""A concert: its pieces, today over all of them, the next rehearsal."""

from functools import partial
from pathlib import Path
from textwrap import wrap
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.events import Click
from textual.widgets import Static

from score.concert.concert_file import people_named
from score.concert.concert_pieces import playing_people
from score.concert.concert_setup import change_seconds
from score.concert.concert_values import Concert
from score.concert.person_sheet import part_number
from score.errors import InbreathError
from score.takes.history import History
from tui import clock
from tui.background import beside
from tui.concert_facts import ConcertFacts, ConcertToday, concert_facts, today_entries, today_of, today_start
from tui.concert_own import keep_person, person_here
from tui.drawing.canvas import stacked
from tui.drawing.concert_picture import (
    PieceRow,
    concert_heading,
    evening_lines,
    next_rehearsal,
    piece_lines,
    today_lines,
)
from tui.drawing.palette import Palette
from tui.drawing.stage_letters import stage_page
from tui.key_bindings import bindings
from tui.keys import CONCERT
from tui.practice_start import PracticeStart
from tui.screens.concert_changes import ConcertChanges
from tui.screens.leaves_screen import LeavesScreen
from tui.screens.leaving import leave
from tui.screens.prompts import AskOne
from tui.widgets.foot import Foot


class ConcertScreen(ConcertChanges):
    """Choose a piece with the arrows and Enter, or take today's next with g."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("concert", CONCERT)]
    EXPLAIN = (
        "The pieces in the order of the concert, and the change after each. g takes what is next today, whatever piece "
        "it is of: places lost by heart, chunks, questions; p shows the calendar, s the stage."
    )

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.facts: ConcertFacts | None = None
        self.today = ConcertToday()
        self.trouble = ""
        self._planned = b""

    @property
    def history(self) -> History:
        """The player's history."""
        return self.app.history  # type: ignore[attr-defined,no-any-return]

    @property
    def person(self) -> str:
        """Who the player is in this concert, "" while that was not said."""
        return self._recalled if self._recalled in self.people else ""

    @property
    def _recalled(self) -> str:
        return person_here(self.history, self.path)

    @property
    def people(self) -> tuple[str, ...]:
        """Everybody who plays."""
        if self.facts is not None:
            return playing_people(self.facts.pieces)
        return people_named(self.concert) if self.concert is not None else ()

    def on_mount(self) -> None:
        """Read the file; everything else follows."""
        self.reread()

    def on_screen_resume(self) -> None:
        """Practising may have changed what is left for today."""
        if self.is_mounted and self.facts is not None:
            self._renew_today()

    def changed(self, concert: Concert) -> None:
        """Show what the file says now; the calendar follows when it is made."""
        self.concert, self.facts, self.today, self.trouble = concert, None, ConcertToday(), ""
        self.chosen = max(0, min(self.chosen, len(concert.pieces) - 1))
        self._draw()
        person, day = self.person, clock.today()
        if concert.pieces:
            make = partial(concert_facts, concert, self.history, person, day)
            beside(self, "facts", make, self._show, self._refused)

    def _show(self, facts: ConcertFacts) -> None:
        self.facts = facts
        self._draw()
        if not self._recalled:
            self.action_who()
        self._renew_today()

    def _refused(self, error: InbreathError) -> None:
        self.trouble = error.line
        self._draw()

    def _renew_today(self) -> None:
        facts, person, day = self.facts, self.person, clock.today()
        if facts is not None and person:
            beside(self, "today", lambda: today_of(facts, self.history, person, day), self._show_today)

    def _show_today(self, today: ConcertToday) -> None:
        self.today = today
        self._draw()

    # Drawing.

    def _draw(self) -> None:
        if not self.query("#picture") or self.concert is None:
            return
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        lines = [concert_heading(self.concert, self.person, clock.today(), width, colours)]
        lines += piece_lines(self._rows(), self.chosen, self.person, width, colours)
        if not self.concert.pieces:
            lines.append(Text(" No piece yet: a adds one.", colours.faint))
        lines += [Text(""), *self._below(width, height - len(lines) - 1, colours)]
        self.query_one("#picture", Static).update(stacked(lines[:height], width))

    def _rows(self) -> list[PieceRow]:
        assert self.concert is not None
        if self.facts is None:
            return [PieceRow(piece.name, "", piece.people) for piece in self.concert.pieces]
        changes = change_seconds(self.facts.setup)
        return [
            PieceRow(
                piece.name,
                piece.piece.title,
                [name for _, name in piece.people],
                change=changes[index] if index < len(changes) else None,
            )
            for index, piece in enumerate(self.facts.pieces)
        ]

    def _below(self, width: int, height: int, colours: Palette) -> list[Text]:
        """Today, and as much of the next rehearsal as there is room for."""
        facts = self.facts
        if self.trouble:
            return [Text(f" {line}", colours.caution) for line in wrap(self.trouble, width - 2)]
        if facts is None:
            return [Text(" Planning ...", colours.faint)] if self.concert and self.concert.pieces else []
        lines = today_lines(today_entries(facts, self.today), width, colours) if self.person else []
        if facts.plan is None:
            return [
                *lines,
                Text(""),
                Text(" No rehearsal to come: r adds one, d says when the concert is.", colours.faint),
            ]
        evening = facts.plan.evenings[next_rehearsal(facts.plan, clock.now())]
        return [*lines, Text(""), *evening_lines(facts.plan, evening, width, colours, self.person)][: max(0, height)]

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another piece."""
        count = len(self.concert.pieces) if self.concert is not None else 0
        self.chosen = max(0, min(self.chosen + by, count - 1))
        self._draw()

    def on_click(self, event: Click) -> None:
        """A click chooses a piece, on the chosen one it opens."""
        position = event.y - 2
        if self.concert is None or not 0 <= position < len(self.concert.pieces):
            return
        if position == self.chosen:
            self.action_open_piece()
        self.action_move(position - self.chosen)

    def action_open_piece(self) -> None:
        """Open the chosen piece as the player who one is in it."""
        if self.concert is not None and self.concert.pieces:
            self._open(self.chosen, PracticeStart())

    def action_today(self) -> None:
        """What was lost by heart, then the next of today's chunks, then questions, of whatever piece."""
        coming = today_start(self.today)
        if coming is None:
            said = "Nothing is left for today." if self.today.slots else "Nothing is planned for today."
            self.query_one(Foot).say(said if self.facts is not None else "The calendar is being made.")
            return
        self._open(*coming)

    def _open(self, piece: int, begin: PracticeStart) -> None:
        assert self.concert is not None
        number = part_number(self.facts.pieces[piece], self.person) if self.facts is not None else None
        begin = begin._replace(player=number or 0)
        self.app.open_score(self.concert.pieces[piece].score, begin)  # type: ignore[attr-defined]

    def action_who(self) -> None:
        """Say who is practising."""
        people = list(self.people)
        if people:
            now = people.index(self.person) if self.person in people else 0
            self.app.push_screen(AskOne("Who are you?", people, now), self._who)

    def _who(self, position: int | None) -> None:
        if position is not None and position >= 0:
            keep_person(self.history, self.path, self.people[position])
            self._draw()
            self._renew_today()

    def action_calendar(self) -> None:
        """The calendar, a rehearsal a page."""
        plan = self.facts.plan if self.facts is not None else None
        if plan is None:
            self.query_one(Foot).say("There is no calendar yet.")
            return
        from score.concert.programme_texts import bound_line

        leaves = [
            lambda size, colours, evening=evening: evening_lines(plan, evening, size[0], colours, self.person)
            for evening in plan.evenings
        ]
        self.app.push_screen(LeavesScreen("Calendar", leaves, next_rehearsal(plan, clock.now()), bound_line(plan)))

    def action_stage(self) -> None:
        """The stage, a piece a page."""
        facts = self.facts
        if facts is None:
            self.query_one(Foot).say("The stage is being worked out.")
            return
        setup = facts.setup
        leaves = [
            lambda size, colours, index=index: stage_page(
                setup.hall, setup.stages[index], setup.changes[index - 1] if index else None, size, colours
            )
            for index in range(len(setup.stages))
        ]
        from score.concert.stage_texts import order_words

        self.app.push_screen(LeavesScreen("Stage", leaves, self.chosen, order_words(setup)))

    def action_write(self) -> None:
        """Write everybody's pages."""
        facts = self.facts
        if facts is None:
            self.query_one(Foot).say("The calendar is being made.")
            return
        from score.concert.concert_prepare import write_pages

        folder = facts.concert.folder
        stamp = clock.now().astimezone()

        def write() -> int:
            return len(write_pages(facts.concert, facts.pieces, facts.setup, facts.plan, folder, stamp))

        def written(count: int) -> None:
            self.query_one(Foot).say(f"{count} files are in {folder}; `inbreath concert prepare` writes the parts too.")

        beside(self, "write", write, written)

    def action_back(self) -> None:
        """Back."""
        leave(self)

"""The piece at a glance: who plays when, chunks with what they ask and how far one is, what to do today."""

from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.events import Click
from textual.widgets import Static

from score.errors import InbreathError
from score.group.group_file import Group
from score.places import find_bar
from score.plain_text import several
from score.takes.heart_passages import LostPassage
from tui import clock
from tui.background import beside
from tui.drawing.canvas import stacked
from tui.drawing.chunk_panel import panel_lines
from tui.drawing.chunk_rows import chunk_row, head_row, row_beside, window
from tui.drawing.overview_picture import Overview, chunk_at, overview
from tui.drawing.palette import Palette
from tui.key_bindings import bindings
from tui.keys import STAND
from tui.overview_facts import boxes_of, differences, heading, idle_line, panel_of, row_of
from tui.own_lessons import turn_lessons
from tui.planning import Today, standings_of, today_for
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskLine, AskOne
from tui.session import Session
from tui.widgets.foot import Foot

_TABLE, _WITH_PANEL = 79, 110
"""Columns of the table where a panel stands beside it, and the width from which one does."""


class StandScreen(PictureScreen):
    """Choose a chunk with the arrows and Enter, by typing a bar or mark, or take today's next."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("stand", STAND)]
    EXPLAIN = (
        "Above, one row per player: the higher, the more strokes in the bar. Below, the chunks: the brighter the box, "
        "the readier you are. g takes what is next today; Enter practises the chosen chunk."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.chosen = session.chunk_at(session.bar)
        self.bar: int | None = session.bar or None
        self.today = Today((), None, None)
        self.remarks: tuple[int, ...] = ()
        self._checked: tuple[Group, int] | None = None
        self._table_top = 0

    def on_mount(self) -> None:
        """Draw; ask who is practising the first time."""
        self.renew()
        if not self.session.player:
            self.action_who()

    def on_screen_resume(self) -> None:
        """Practising may have changed where the player stands."""
        if self.is_mounted:
            self.renew()

    def renew(self) -> None:
        """Draw what is known now; today's work and the remarks of the set-up follow when they are worked out."""
        self.chosen = min(self.chosen, len(self.session.chunks) - 1)
        self._draw()
        standings, day = standings_of(self.session), clock.today()
        beside(self, "today", lambda: today_for(self.session, standings, day), self._show_today, self._no_today)

    def _show_today(self, today: Today) -> None:
        self.today = today
        self._draw()
        if not self.is_checked:
            beside(self, "fit", self._remarks, self._show_remarks, lambda _: None)

    def _no_today(self, error: InbreathError) -> None:
        self.query_one(Foot).idle = Text(error.line)

    @property
    def is_checked(self) -> bool:
        """Whether the remarks are those of the group's file and the player of now."""
        group, me = self._checked or (None, 0)
        return group is self.session.group and me == self.session.me.number

    def _remarks(self) -> tuple[tuple[Group, int], tuple[int, ...]]:
        from score.setup.finding import Weight
        from score.setup.setup_check import check

        group, me = self.session.group, self.session.me.number
        findings = check(self.session.piece, group).findings
        weighty = [f for f in findings if f.weight is not Weight.MENTION and f.player in (0, me)]
        return (group, me), tuple(sorted({bar for finding in weighty for bar in (finding.bars or (finding.bar,))}))

    def _show_remarks(self, remarks: tuple[tuple[Group, int], tuple[int, ...]]) -> None:
        self._checked, self.remarks = remarks
        if not self.is_checked:
            beside(self, "fit", self._remarks, self._show_remarks, lambda _: None)
        else:
            beside(self, "differences", lambda: differences(self.session), self._tell_differences, lambda _: None)
        self._draw()

    def _tell_differences(self, count: int) -> None:
        if count:
            self._say(f"{several(count, 'difference')} between your copies: d shows them.")

    # Drawing.

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    def _draw(self) -> None:
        if not self.is_mounted or not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        lines = [heading(self.session, self.today, width, self._colours), *self._picture(width, height).split("\n")]
        self._table_top = len(lines) + 1
        wide = _TABLE if width >= _WITH_PANEL else width
        table = [head_row(wide, self._colours), *self._rows(wide, height - len(lines) - 1)]
        if width >= _WITH_PANEL:
            panel = self._panel(width - _TABLE - 2, height - len(lines), 0)
            table += [Text(" " * wide)] * max(0, len(panel) - len(table))
            table = [row_beside(row, panel[at : at + 1], wide) for at, row in enumerate(table)]
            lines += table
        else:
            lines += table
            left = height - len(lines)
            lines += self._panel(width - 2, left, 1)
        self.query_one("#picture", Static).update(stacked(lines, width))
        self.query_one(Foot).idle = idle_line(self.session, self.today, self._colours)

    def _picture(self, width: int, height: int) -> Text:
        rows = 1 if height < 32 else 2 if height < 36 else 3
        boxes = boxes_of(self.session)
        shown = Overview(self.session.me.number, boxes, self.chosen, remarks=self.remarks, rows_a_player=rows)
        return overview(self.session.piece, shown, width, self._colours)

    def _rows(self, width: int, height: int) -> list[Text]:
        chunks = self.session.chunks
        self._shown = window(len(chunks), self.chosen, max(1, height))
        own = self.session.me.number
        return [
            chunk_row(row_of(self.session, self.today, position), width, own, self._colours, position == self.chosen)
            for position in self._shown
        ]

    def _panel(self, width: int, height: int, indent: int) -> list[Text]:
        if height < 2 or not self.session.chunks:
            return []
        panel = panel_of(self.session, self.today, self.chosen)
        size = (width, height)
        lines = panel_lines(panel, self.session.piece, self.session.me.number, size, clock.today(), self._colours)
        return [Text(" " * indent).append_text(line) for line in lines]

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another chunk."""
        self.chosen = min(max(0, self.chosen + by), len(self.session.chunks) - 1)
        self.bar = None
        self._draw()

    def on_click(self, event: Click) -> None:
        """A click chooses a chunk, in the table or in the picture; on the chosen one it practises."""
        row = event.y - self._table_top
        position = self._shown[row] if 0 <= row < len(self._shown) else None
        if position is None and 0 < event.y < self._table_top - 1:
            position = chunk_at(event.x, self.session.piece, boxes_of(self.session), max(40, self.size.width))
        if position is not None and position == self.chosen:
            self.action_practise()
        elif position is not None:
            self.action_move(position - self.chosen)

    def action_practise(self) -> None:
        """Practise the chosen chunk, from the bar that was gone to."""
        from tui.screens.practice_screen import PracticeScreen

        if self.session.chunks:
            self.session.today = ()
            self.app.push_screen(PracticeScreen(self.session, self.chosen))

    def action_today(self) -> None:
        """Practise what was lost by heart and comes back today; then the next of today's chunks."""
        if self.today.passages:
            self._practise_lost(self.today.passages[0])
            return
        slot = next((slot for slot in self.today.slots if not slot.is_done), None)
        if slot is None:
            self._say("Nothing is left for today." if self.today.slots else "Nothing is planned for today.")
            return
        self.action_move(slot.chunk - self.chosen)
        self.action_practise()
        self.session.today = tuple(slot.chunk for slot in self.today.slots if not slot.is_done)

    def _practise_lost(self, passage: LostPassage) -> None:
        from tui.screens.practice_screen import PracticeScreen

        self.session.today = tuple(slot.chunk for slot in self.today.slots if not slot.is_done)
        self.app.push_screen(PracticeScreen.at_passage(self.session, passage))

    def _say(self, text: str) -> None:
        self.query_one(Foot).say(text)

    def action_find(self) -> None:
        """Go to a bar or mark."""
        self.app.push_screen(AskLine("Bar or rehearsal mark", "31, C or C+8"), self._find)

    def _find(self, text: str | None) -> None:
        if not text:
            return
        try:
            bar = find_bar(self.session.piece, text)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        self.action_move(self.session.chunk_at(bar) - self.chosen)
        self.bar = self.session.bar = bar

    def action_who(self) -> None:
        """Say who is practising."""
        players = self.session.piece.players
        numbers = [player.number for player in players]
        now = numbers.index(self.session.me.number)
        lines = [f"{p.name}: {', '.join(i.name for i in p.instruments)}" for p in players]
        self.app.push_screen(AskOne("Which player are you?", lines, now), self._who)

    def _who(self, position: int | None) -> None:
        if position is not None and position >= 0:
            self.session.player = self.session.piece.players[position].number
            self.session.history.play_as(self.session.piece.digest, self.session.player)
            self.remarks = ()
            self.renew()

    def action_cues(self) -> None:
        """The cues of a player."""
        from tui.screens.cues_screen import CuesScreen

        self.app.push_screen(CuesScreen(self.session))

    def action_questions(self) -> None:
        """Ten minutes of questions about the piece."""
        from tui.screens.questions_screen import QuestionsScreen

        self.app.push_screen(QuestionsScreen(self.session))

    def action_plan(self) -> None:
        """Rehearsals and their order."""
        from tui.screens.plan_screen import PlanScreen

        self.app.push_screen(PlanScreen(self.session))

    def action_rehearse(self) -> None:
        """A rehearsal, item by item."""
        from tui.screens.rehearsal_screen import open_rehearsal

        open_rehearsal(self, self.session)

    def action_setup(self) -> None:
        """Does it fit instruments, hands and the time between?"""
        from tui.screens.setup_screen import SetupScreen

        self.app.push_screen(SetupScreen(self.session))

    def action_tubes(self) -> None:
        """Tubes cut to pitch."""
        from tui.screens.tubes_screen import TubesScreen

        self.app.push_screen(TubesScreen(self.session))

    def action_differences(self) -> None:
        """What the players' copies disagree about."""
        from tui.screens.gather_screen import GatherScreen

        self.app.push_screen(GatherScreen(self.session))

    def action_entries(self) -> None:
        """Entries without a leader."""
        from tui.screens.proposals_screen import ProposalsScreen

        self.app.push_screen(ProposalsScreen(self.session))

    def action_write(self) -> None:
        """Write files."""
        from tui.screens.files_screen import FilesScreen

        self.app.push_screen(FilesScreen(self.session))

    def action_lesson(self) -> None:
        """Let one's takes teach about demands, or no more."""
        self._say(turn_lessons(self.session))
        self.renew()

    def action_close(self) -> None:
        """Back to the list of pieces."""
        leave(self)

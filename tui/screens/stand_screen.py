"""The piece at a glance: who plays when, chunks with what they ask and how far one is, what to do today."""

from datetime import date
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import DataTable, Static

from score.errors import InbreathError
from score.places import bars_name, find_bar
from tui.background import beside
from tui.drawing.piece_glance import Stretch, glance
from tui.keys import STAND, bindings
from tui.screens.prompts import AskLine, AskOne
from tui.session import LETTERS, Chunk, Session
from tui.widgets.foot import Foot

COLUMNS = ("chunk", "bars", "secs", "own", "together", "leads", "you are", "tempo", "")


class StandScreen(Screen[None]):
    """Choose a chunk with the arrows and Enter, or by typing a bar or mark."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("stand", STAND)]
    EXPLAIN = "Above: bars from left to right, a row a player. Below: chunks; Enter practises the chosen one."

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session

    def compose(self) -> ComposeResult:
        """Heading, glance, chunks, today."""
        yield Static("", id="heading", markup=False)
        yield Static("", id="glance")
        yield DataTable(id="chunks", cursor_type="row", zebra_stripes=True)
        yield Static("", id="today", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Fill the table; ask who is practising the first time."""
        table = self.query_one(DataTable)
        for name in COLUMNS:
            table.add_column(name)
        self.renew()
        table.move_cursor(row=self.session.chunk_at(self.session.bar))
        table.focus()
        if not self.session.player:
            self.action_who()

    def on_screen_resume(self) -> None:
        """Practising may have changed where the player stands."""
        if self.query(DataTable) and self.query_one(DataTable).columns:
            self.renew()

    def on_resize(self) -> None:
        """Draw to the new width."""
        self._draw()

    def renew(self) -> None:
        """Fill everything again."""
        table = self.query_one(DataTable)
        row = table.cursor_row
        table.clear()
        for chunk in self.session.chunks:
            table.add_row(*_row(self.session, chunk))
        if self.session.chunks:
            table.move_cursor(row=min(row, len(self.session.chunks) - 1))
        piece = self.session.piece
        repairs = f", {len(piece.warnings)} repairs (inbreath read lists them)" if piece.warnings else ""
        heading = f"{piece.title}   you are {self.session.me.name}   {len(piece.bars)} bars{repairs}"
        self.query_one("#heading", Static).update(heading)
        beside(self, "plan", self._today, self._show_today, lambda error: self._show_today(error.line))
        self._draw()

    @property
    def chosen(self) -> int:
        """Position of the chosen chunk."""
        return max(0, self.query_one(DataTable).cursor_row)

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self._draw()

    @on(DataTable.RowSelected)
    def _selected(self) -> None:
        self.action_practise()

    def _draw(self) -> None:
        stretches = []
        for chunk in self.session.chunks:
            standing = self.session.standing(chunk)
            letter = LETTERS[standing.readiness] if standing else ""
            stretches.append(Stretch(chunk.chunk.bars, chunk.chunk.name, letter))
        width = max(40, self.size.width)
        picture = glance(self.session.piece, width, self.session.me.number, stretches, self.chosen)
        self.query_one("#glance", Static).update(picture)

    def _today(self) -> str:
        """Own work of today from the plan, where the group's file gives rehearsals and a concert."""
        from score.plan.from_group import group_concert, group_minutes, group_rehearsals
        from score.plan.plan_of_piece import plan_of

        rehearsals, concert = group_rehearsals(self.session.group), group_concert(self.session.group)
        coming = [rehearsal for rehearsal in rehearsals if rehearsal.start.date() >= date.today()]
        if not coming or concert is None:
            return "No rehearsals yet: press p. l learning, u under tempo, t at tempo, h by heart"
        minutes = group_minutes(self.session.group)
        plan = plan_of(self.session.piece, self.session.group, coming, concert, date.today(), minutes).plan
        mine = next((work for work in plan.own if work.player == self.session.me.number), None)
        today = next((day for day in mine.days if day.day == date.today()), None) if mine else None
        if today is None:
            return f"Nothing of your own is planned for today. Next rehearsal {coming[0].start:%Y-%m-%d %H:%M}."
        names = ", ".join(f"{plan.inputs.chunks[slot.chunk].name} {slot.minutes} min" for slot in today.slots)
        return f"Today: {names}. Next rehearsal {coming[0].start:%Y-%m-%d %H:%M}."

    def _show_today(self, text: str) -> None:
        self.query_one("#today", Static).update(text)

    def action_practise(self) -> None:
        """Practise the chosen chunk."""
        from tui.screens.practice_screen import PracticeScreen

        if self.session.chunks:
            self.app.push_screen(PracticeScreen(self.session, self.chosen))

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
        self.query_one(DataTable).move_cursor(row=self.session.chunk_at(bar))

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
            self.renew()

    def action_cues(self) -> None:
        """The cues of a player."""
        from tui.screens.cues_screen import CuesScreen

        self.app.push_screen(CuesScreen(self.session))

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

    def action_write(self) -> None:
        """Write files."""
        from tui.screens.files_screen import FilesScreen

        self.app.push_screen(FilesScreen(self.session))

    def action_close(self) -> None:
        """Back to the list of pieces."""
        self.app.pop_screen()


def _row(session: Session, chunk: Chunk) -> tuple[Text, ...]:
    standing = session.standing(chunk)
    leader = session.piece.player(chunk.asked.leader).short if chunk.asked.leader is not None else ""
    tempo = f"{100 * standing.best_tempo:.0f} %" if standing and standing.best_tempo else ""
    cells = (
        chunk.chunk.name,
        bars_name(session.piece, chunk.chunk.bars),
        f"{chunk.chunk.seconds:.0f}",
        _bar(chunk.asked.own(session.me.number)),
        _bar(chunk.asked.together),
        leader,
        standing.readiness.value if standing else "",
        tempo,
        chunk.again,
    )
    return tuple(Text(cell) for cell in cells)


def _bar(figure: float) -> str:
    """A figure from 0 to 1 as five letters."""
    full = round(5 * figure)
    return "#" * full + "." * (5 - full)

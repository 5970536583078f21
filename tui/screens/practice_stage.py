"""The practice screen without its keys: what is loaded, drawn and followed."""

from fractions import Fraction

from rich.text import Text
from textual.app import ComposeResult
from textual.events import Resize

from score.beats import Place
from score.playback.sounding.sound_messages import PassEnded, Report, Said, Stopped
from tui.background import beside
from tui.drawing.practice_head import draw_head
from tui.drawing.system_cells import System, SystemShape
from tui.drawing.time_grid import Page
from tui.practice_facts import PracticeFacts, practice_facts, shown_marks
from tui.practice_pages import PageTable, SystemLook, page_table, system_of
from tui.practice_setting import Setting, place_at, recalled
from tui.practice_sound import PracticeSound
from tui.practice_words import HeadPlace, head_facts, idle_words
from tui.screens.practice_engraving import PracticeEngraving
from tui.session import Session
from tui.widgets.cells_view import CellsView
from tui.widgets.foot import Foot
from tui.widgets.notation_view import NotationView
from tui.widgets.system_view import SystemView

_TICK = 1 / 30
_SYSTEMS = 4
_MOST_KEPT = 40


class PracticeStage(PracticeEngraving):
    """One's own staff largest, the others above it, page by page; it follows the sound process.

    Args:
        session: the opened piece.
        chunk: position of the chunk.
    """

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__()
        self.session = session
        self.setting = recalled(session, chunk)
        self.facts: PracticeFacts | None = None
        self.table: PageTable | None = None
        self.cursor = session.bar if session.bar in session.chunks[chunk].chunk.bars else -1
        self.page = self.turned = 0
        self.followed = -1
        self._systems: dict[object, System] = {}
        self.ratings: list[int] = []
        self._is_covered = False

    def compose(self) -> ComposeResult:
        """Head, systems, foot."""
        yield CellsView(id="head")
        for number in range(_SYSTEMS):
            yield SystemView(id=f"system-{number}")
            if self.notation is not None:
                yield NotationView(id=f"notation-{number}")
            yield CellsView(id=f"when-{number}")
        yield Foot()

    def on_mount(self) -> None:
        """Load the chunk."""
        self.sound = PracticeSound(self, self.session, self.app.player, self._describe)  # type: ignore[attr-defined]
        self.sound_ready()
        if self.notation is not None:
            self.notation.take(self.session)
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())
        self._load()
        self.set_interval(_TICK, self._listen)
        self.sound.wake(self._listen)

    def on_unmount(self) -> None:
        """Fall silent when the screen goes."""
        self.sound.wake(None)
        self.sound.stop()

    def on_resize(self, event: Resize) -> None:
        """Divide the pages anew."""
        self._divide()

    def on_screen_suspend(self) -> None:
        """Under a dialog notation is text: dimmed cells would show no picture."""
        self._is_covered = True
        self._draw()

    def on_screen_resume(self) -> None:
        """Notation is engraved again."""
        if self._is_covered:
            self._is_covered = False
            self._draw()

    def _load(self) -> None:
        self.sound.load(self.setting)
        self.facts = None
        self._gather()
        self._describe()

    def _set(self, setting: Setting) -> None:
        """Go on with another setting of the same bars."""
        self.setting = setting
        self.sound.change(setting)
        self._describe()

    def _gather(self) -> None:
        setting = self.setting
        beside(self, "facts", lambda: practice_facts(self.session, setting), self._gathered)

    def _gathered(self, facts: PracticeFacts) -> None:
        self.facts = facts
        if facts.trouble:
            self.query_one(Foot).say(facts.trouble, is_trouble=True)
        self._divide()

    def _divide(self) -> None:
        facts = self.facts
        if facts is None:
            return
        width, height = max(40, self.size.width), max(16, self.size.height)
        shows_when = self.shows_when
        beside(self, "pages", lambda: page_table(facts, width, height, shows_when), self._divided)

    def _divided(self, table: PageTable) -> None:
        if self.facts is None:
            return
        self.table, self.turned, self.followed = table, 0, -1
        self._systems.clear()
        self.page = table.page_of(max(0, self.cursor_bar - self.facts.bars[0]))
        self._draw()

    def _draw(self) -> None:
        """Every system anew."""
        if self.facts is None or self.table is None:
            return
        for number, view in enumerate(self.query(SystemView)):
            self._draw_system(number, view)
        self.show_position()

    def _draw_system(self, number: int, view: SystemView) -> None:
        facts, table = self.facts, self.table
        if facts is None or table is None:
            return
        shapes = [*table.layout.systems, *([table.layout.small] if table.layout.small else [])]
        pages = table.shown(self.page, self.turned, self.setting.loop)
        page = pages[number] if number < len(pages) else None
        if page is None:
            self._engrave(number, facts, None, table.layout.systems[0], table.width)
            view.show_system(None, self._colours)
            self.show_when(number)
            return
        shape = shapes[number]
        engraved = self._engrave(number, facts, None if self._is_covered else page, shape, table.width)
        cursor = self.cursor - facts.bars[0] if self.cursor >= 0 else -1
        at = facts.moment(self.session.piece, self.cursor_beat) if self.cursor_beat.at else None
        marks = (*shown_marks(self.session, facts), *self.more_marks())
        look = SystemLook(self.setting.muted, cursor, marks=marks, cursor_at=at, curve=self.curve(), fade=self.fade())
        if engraved is not None:
            shape, look = engraved.shape, look._replace(places=engraved.places)
        view.show_system(self._drawn(page, shape, look), self._colours)
        self.show_when(number, view.system, shapes[number].when)

    def _drawn(self, page: Page, shape: SystemShape, look: SystemLook) -> System:
        """A system, drawn once: a page that is turned to stood below before."""
        assert self.facts is not None
        assert self.table is not None
        key = page, shape, look, self._colours
        if key not in self._systems:
            if len(self._systems) > _MOST_KEPT:
                self._systems.clear()
            self._systems[key] = system_of(self.facts, self.table, page, shape, look, self._colours)
        return self._systems[key]

    def _describe(self) -> None:
        self._describe_head()
        self.query_one(Foot).idle = Text(self.idle_words())

    def idle_words(self) -> str:
        """What the foot says while there is nothing else to say."""
        return f"{self.fade_words()}{self.last_words()}{idle_words(self.session, self.setting, self.sound)}"

    def _describe_head(self) -> None:
        place = HeadPlace(self.facts, self.table, page=self.page)
        facts = head_facts(self.session, self.setting, self.sound, place)
        if lines := self.strip_lines():
            facts = facts._replace(lines=lines, is_strip=True)
        facts = self.more_of_head(facts)
        rows = self.table.layout.head if self.table else 3
        self.query_one("#head", CellsView).show(draw_head(facts, max(40, self.size.width), rows, self._colours))

    @property
    def cursor_beat(self) -> Place:
        """The beat at the cursor."""
        return Place(self.cursor_bar, Fraction(0))

    @property
    def cursor_bar(self) -> int:
        """Index of the bar at the cursor, or of the first one shown."""
        if self.cursor >= 0:
            return self.cursor
        chunk = self.session.chunks[self.setting.chunk].chunk
        return self.facts.bars[0] if self.facts is not None else chunk.first

    def _say(self, text: str) -> None:
        self.query_one(Foot).say(text)

    def _turn_to(self, page: int) -> None:
        """Show another page; one after the other they take turns, a jump begins above."""
        count = len(self.table.pages) if self.table else 1
        if page != self.page:
            self.turned = self.turned + 1 if page == (self.page + 1) % count else 0
            self.page = page
            self._draw()

    # Following the sound process.

    def _listen(self) -> None:
        if self.notation is not None and self.notation.listen():
            self._draw()
        before, words = self.sound.position, self._said_words()
        for report in self.sound.listen(self.setting):
            self._heard(report)
        self.show_struck()
        if self.sound.position is not before:
            self._follow()
        if self._said_words() != words:
            self._describe_head()

    def show_position(self) -> None:
        """Show where the sound is, in notation and head."""
        self._follow()
        self._describe()

    def _said_words(self) -> tuple[object, ...]:
        """What the head says of the sound; 30 reports a second seldom change it."""
        sound, at = self.sound, self.sound.position
        where = (at.bar, at.beat, round(at.quarters_per_minute)) if at is not None else ()
        return sound.is_on, sound.turn, sound.ended, *where

    def _heard(self, report: Report) -> None:
        if isinstance(report, PassEnded):
            self.pass_over()
            self._say(f"Pass {report.turn} is over: a learning, s under tempo, d at tempo, f by heart")
        elif isinstance(report, Said):
            self.query_one(Foot).say(report.text, is_trouble=report.is_trouble)
        elif isinstance(report, Stopped):
            self._light(None)

    def _follow(self) -> None:
        position, facts, table, route = self.sound.position, self.facts, self.table, self.sound.route
        if facts is None or table is None or route is None or position is None or position.bar < 0:
            self.followed = -1 if position is None else self.followed
            self._light(None)
            return
        place = place_at(route, position.offset)
        if place.bar in facts.bars:
            page = table.page_of(place.bar - facts.bars[0])
            if page != self.followed:
                # A page turned by hand stays until the head comes to the end of its own.
                self.followed = page
                self._turn_to(page)
            self._light(facts.moment(self.session.piece, place))

    def _light(self, at: Fraction | None) -> None:
        """Light the beat in the system that holds a moment, and nowhere else."""
        for number, view in enumerate(self.query(SystemView)):
            here = at if at is not None and view.system is not None and view.system.holds(at) else None
            view.light(here)
            self._light_engraved(number, here)

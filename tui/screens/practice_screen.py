"""Practising a chunk alongside the others: lanes on exact time, the head moving with the player's own clock."""

from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Static

from score.activity.lanes import Run, run
from score.beats import Place
from score.cues.cue_choice import choose_cues
from score.cues.sheet import Cue, Level
from score.places import bars_name
from score.playback.sounding.sound_messages import PassEnded, Position, Said, Stopped
from score.playback.tempo_steps import Steps
from score.takes.history import Readiness
from tui.drawing.lane_picture import Grid, bar_row, bars_a_page, own_lane
from tui.drawing.page_picture import coming, cue_on, others, why
from tui.keys import PRACTICE, bindings
from tui.practice_setting import THINNING, Setting, place_at, recalled, remember, route_of, timeline_of, written_bars
from tui.session import Session
from tui.widgets.foot import Foot
from tui.widgets.ruler import Ruler

_STEP = 0.05
_TICK = 1 / 30


class PracticeScreen(Screen[None]):
    """One's own lane at the bottom and largest, the others above it, page by page."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("practice", PRACTICE)]
    EXPLAIN = (
        "o stroke, O accented, x damped, ',' grace, o~~ roll, o-- held, ) left to ring, . beat of rest.\n"
        "> marks the player whose rhythm stands above your part on paper.\n"
        "After a pass: a learning notes, s under tempo, d at tempo, f by heart."
    )

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__()
        self.session = session
        self.setting = recalled(session, chunk)
        self.playing = False
        self.turn = 1
        self.page = 0
        self.pages: list[range] = []
        self.rated: list[int] = []
        self.cues: tuple[Cue, ...] = ()
        self.said = ""
        self._run: Run | None = None
        self._grid = Grid(80, self.session.piece.bars[0].length)

    def compose(self) -> ComposeResult:
        """Heading, setting, reason, bars, ruler, lanes, next page, what was said."""
        yield Static("", id="heading", markup=False)
        yield Static("", id="setting", markup=False)
        yield Static("", id="reason", markup=False)
        yield Static("", id="bars")
        yield Ruler()
        yield Static("", id="others")
        yield Static("", id="own")
        yield Static("", id="next")
        yield Static("", id="said", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Load the chunk."""
        self.cues = choose_cues(self.session.piece, self.session.me.number, Level.USUAL, self.session.group.cues).cues
        self._load()
        self.set_interval(_TICK, self._listen)

    def on_unmount(self) -> None:
        """Fall silent when the screen goes."""
        if self.player is not None:
            self.player.stop()

    def on_resize(self) -> None:
        """Divide the pages anew."""
        self._divide()

    @property
    def player(self):  # type: ignore[no-untyped-def]
        """The player process, None when practising without one."""
        return self.app.player  # type: ignore[attr-defined]

    def undo_last(self) -> str:
        """Take back the last rating."""
        if not self.rated:
            return ""
        self.session.history.take_back(self.rated.pop())
        self._describe()
        return "Last rating undone."

    # What the keys do.

    def action_play(self) -> None:
        """Play or stop."""
        if self.player is None:
            self._say("Sound is not running; turn pages with the arrows.")
        elif self.playing:
            self.player.stop()
        else:
            self.turn = 1
            self.player.play()
            self.playing = True

    def action_slower(self) -> None:
        """Slower, from the next bar on."""
        self._set(self.setting.faster(-_STEP))

    def action_faster(self) -> None:
        """Faster, from the next bar on."""
        self._set(self.setting.faster(_STEP))

    def action_own(self) -> None:
        """Own part on, soft, off."""
        self._set(self.setting.next_own())

    def action_click(self) -> None:
        """The next kind of click."""
        self._set(self.setting.next_click())

    def action_count_in(self) -> None:
        """Bars of count-in: 0, 1, 2."""
        self._set(replace(self.setting, count_in=(self.setting.count_in + 1) % 3), anew=True)

    def action_loop(self) -> None:
        """Loop or once."""
        self.setting = replace(self.setting, loop=not self.setting.loop)
        if self.player is not None:
            self.player.loop(self.setting.loop)
        self._describe()

    def action_steps(self) -> None:
        """Steps of tempo on or off."""
        steps = None if self.setting.steps else Steps(tempo=self.setting.tempo)
        self.setting = replace(self.setting, steps=steps)
        self._describe()

    def action_player(self, number: int) -> None:
        """Another player on or off."""
        numbers = [player.number for player in self.session.piece.players]
        if number == self.session.me.number:
            self.action_own()
        elif number in numbers:
            muted = self.setting.muted ^ {number}
            self._set(replace(self.setting, muted=muted))
            self._draw()

    def action_next_chunk(self) -> None:
        """The next chunk."""
        self._go(1)

    def action_previous_chunk(self) -> None:
        """The chunk before."""
        self._go(-1)

    def action_join(self) -> None:
        """The seam with the next chunk, or the chunk alone."""
        if self.setting.chunk + 1 < len(self.session.chunks):
            self.setting = replace(self.setting, join=not self.setting.join)
            self._load()
        else:
            self._say("Nothing follows the last chunk.")

    def action_turn(self, by: int) -> None:
        """Turn a page by hand."""
        self._show_page(min(max(0, self.page + by), len(self.pages) - 1))

    def action_rate(self, words: str) -> None:
        """Say how the pass went."""
        readiness = Readiness(words)
        chunk = self.session.chunks[self.setting.chunk].chunk
        if self.setting.join:
            self._say("Only chunks can be rated: leave the join first (j).")
            return
        tempo = self.setting.tempo
        number = self.session.history.rate(
            self.session.piece.digest, self.session.me.number, chunk.bars, readiness, tempo
        )
        self.rated.append(number)
        changed = self.setting.rated(readiness is not Readiness.LEARNING)
        self._say(f"{chunk.name}: {readiness.value} at {100 * tempo:.0f} % saved. Ctrl+Z undoes it.")
        if changed != self.setting:
            self._set(changed)

    def action_back(self) -> None:
        """Back to the overview; the place is kept."""
        bar = self.pages[self.page][0] if self.pages else 0
        self.session.bar = bar
        self.session.history.left_at(self.session.piece.digest, bar)
        remember(self.session, self.setting)
        self.app.pop_screen()

    # Loading and drawing.

    def _go(self, by: int) -> None:
        chunk = self.setting.chunk + by
        if 0 <= chunk < len(self.session.chunks):
            self.setting = replace(self.setting, chunk=chunk, join=False)
            self._load()

    def _load(self) -> None:
        self.playing = False
        if self.player is not None:
            self.player.load(timeline_of(self.session, self.setting), self.setting.loop)
        self._divide()
        self._describe()

    def _set(self, setting: Setting, anew: bool = False) -> None:
        self.setting = setting
        if self.player is not None:
            made = timeline_of(self.session, setting, self.turn)
            if self.playing and not anew:
                self.player.swap(made)
            else:
                self.player.load(made, setting.loop)
                self.playing = False
        self._describe()

    def _describe(self) -> None:
        chunk = self.session.chunks[self.setting.chunk]
        bars = bars_name(self.session.piece, written_bars(route_of(self.session, self.setting)))
        join = f" | {self.session.chunks[self.setting.chunk + 1].chunk.name}" if self.setting.join else ""
        standing = self.session.standing(chunk)
        known = f"   you are: {standing.readiness.value}" if standing else ""
        again = f"   {chunk.again}" if chunk.again else ""
        self._update("heading", f"{chunk.chunk.name}{join}   bars {bars}{again}{known}")
        self._update("setting", self.setting.words())

    def _divide(self) -> None:
        """Pages of bars that fit the width."""
        bars = written_bars(route_of(self.session, self.setting))
        width = max(40, self.size.width)
        self.pages, first = [], bars[0]
        while first <= bars[-1]:
            count = bars_a_page(self._run_of, first, bars[-1], self.session.me.number, width)
            self.pages.append(range(first, first + count))
            first += count
        self._show_page(min(self.page, len(self.pages) - 1))

    def _run_of(self, bars: range) -> Run:
        return run(self.session.piece, bars)

    def _show_page(self, page: int) -> None:
        self.page = max(0, page)
        self._draw()

    def _draw(self) -> None:
        if not self.pages:
            return
        bars, width = self.pages[self.page], max(40, self.size.width)
        shown = self._run = self._run_of(bars)
        grid = self._grid = Grid(width, shown.length)
        cue = cue_on(self.cues, bars)
        self._update("reason", why(cue, bars, self.session.piece))
        self._update("bars", bar_row(shown, grid))
        self.query_one(Ruler).show(shown, grid)
        self._update("others", others(shown, self._own_row, cue, self.setting.muted, grid))
        self._update("own", own_lane(shown, shown.lanes[self._own_row], grid, self._pitch_rows))
        more = self.page + 1 < len(self.pages)
        self._update("next", coming(self._run_of(self.pages[self.page + 1]), self._own_row, width) if more else "")

    def _update(self, name: str, what: str | Text) -> None:
        self.query_one(f"#{name}", Static).update(what)

    @property
    def _own_row(self) -> int:
        return [player.number for player in self.session.piece.players].index(self.session.me.number)

    @property
    def _pitch_rows(self) -> int:
        """Rows for a chord's notes: as many as the height leaves, four at the most."""
        taken = 13 + len(self.session.piece.players)
        return max(1, min(4, self.size.height - taken))

    # Listening to the player process.

    def _listen(self) -> None:
        if self.player is None:
            return
        position: Position | None = None
        for report in self.player.reports():
            if isinstance(report, Position):
                position = report
            elif isinstance(report, PassEnded):
                self._passed(report.turn)
            elif isinstance(report, Said):
                self._say(report.text)
            elif isinstance(report, Stopped):
                self.playing = False
                position = None
        if position is not None and self.playing:
            self._follow(position)

    def _passed(self, turn: int) -> None:
        self.turn = turn + 1
        if self.setting.click == THINNING and self.player is not None:
            self.player.swap(timeline_of(self.session, self.setting, self.turn))
        self._say(f"Pass {turn} is over: a, s, d or f says how it went.")

    def _follow(self, position: Position) -> None:
        place = place_at(route_of(self.session, self.setting), position.offset)
        if position.bar < 0:
            place = Place(self.pages[0][0] if self.pages else 0, place.at)
        page = next((i for i, bars in enumerate(self.pages) if place.bar in bars), self.page)
        if page != self.page:
            self._show_page(page)
        if self._run is not None:
            start = self.session.piece.bars[self.pages[self.page][0]].start
            self.query_one(Ruler).head = self._grid.column(self.session.piece.offset(place) - start)

    def _say(self, text: str) -> None:
        self.said = text
        self._update("said", text)

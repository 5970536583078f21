"""Practising a chunk alongside the others: what the keys do."""

from dataclasses import replace
from typing import ClassVar

from textual.binding import BindingType

from score.errors import InbreathError
from score.playback.passage_finding import parse_tempo
from score.playback.tempo_steps import Steps
from score.takes.readiness import AT_TEMPO, Readiness, counted
from score.time.meter_beats import beats
from tui.key_bindings import bindings
from tui.keys import PRACTICE
from tui.practice_setting import CLICKS, remember, shown_bars
from tui.screens.leaving import leave
from tui.screens.practice_lost import PracticeLost
from tui.screens.practice_recording import PracticeRecording
from tui.screens.practice_replay import PracticeReplay
from tui.screens.prompts import AskLine, AskOne

_STEP = 0.05


class PracticeScreen(PracticeLost, PracticeReplay, PracticeRecording):
    """One's own staff largest, the others above it, page by page."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("practice", PRACTICE)]
    EXPLAIN = (
        "Letters are your notes, the line after one shows how long it sounds: ~ a roll, × damped, > accented.\n"
        "Above, the others: ▶ marks whose rhythm stands above your part on paper. ’1 1 gives a breath, →1 1 leads.\n"
        "After a pass: a learning notes, s under tempo, d at tempo, f by heart, A as it was heard.\n"
        "R chooses who hears you: ⠉ early, ⣀ late, x missed, ! another note, ? cannot be told.\n"
        "The microphone is open only while a pass plays and ● is shown. Sound is saved only if you ask for it, and "
        "nothing leaves this computer."
    )

    def undo_last(self) -> str:
        """Take back the last change of a try, thing kept, pass or rating."""
        if said := self.undo_strip() or self.undo_forgotten() or self.undo_take():
            return said
        if not self.ratings:
            return ""
        self.session.history.take_back(self.ratings.pop())
        return "Last rating undone."

    # What the keys do.

    def action_play(self) -> None:
        """Play or stop."""
        if self.sound.player is None:
            self._say("Sound is not running; turn pages with the arrows.")
        elif self.sound.is_on:
            self.sound.stop()
        else:
            self.sound.play()
        self._describe()

    def action_from_here(self) -> None:
        """Play from the bar at the cursor; keep what the strip holds as tried."""
        if self.has_strip:
            self.strip_keep()
        elif self.facts is not None:
            self._begin_from(self.cursor if self.cursor > self.facts.bars[0] else None)

    def action_again(self) -> None:
        """Once more from the beginning of what was played."""
        self._begin_from(self.setting.start)

    def action_slower(self) -> None:
        """Slower, from the next beat on; less of what is tried."""
        self._by_steps(-1)

    def action_faster(self) -> None:
        """Faster, from the next beat on; more of what is tried."""
        self._by_steps(1)

    def action_tempo(self) -> None:
        """Type a tempo."""
        self.app.push_screen(AskLine("Tempo: quarters a minute, or a percentage", "73 or 70%"), self._typed_tempo)

    def action_own(self) -> None:
        """Own part on, soft, off."""
        self._set(self.setting.next_own())

    def action_click(self) -> None:
        """Choose a click from a list."""
        self.app.push_screen(AskOne("Click", list(CLICKS), CLICKS.index(self.setting.click)), self._chosen_click)

    def action_count_in(self) -> None:
        """Bars of count-in: 0, 1, 2."""
        self.setting = replace(self.setting, count_in=(self.setting.count_in + 1) % 3)
        self.sound.load(self.setting)
        self._describe()

    def action_loop(self) -> None:
        """Leave one's own loop; loop or once."""
        if self.setting.own_loop:
            self._begin_loop(None)
            return
        self.setting = replace(self.setting, loop=not self.setting.loop)
        self.sound.loop(self.setting.loop)
        self._describe()

    def action_loop_from(self) -> None:
        """One's own loop begins at the bar at the cursor."""
        if self.facts is not None:
            last = self.setting.own_loop[1] if self.setting.own_loop else self.facts.bars[-1]
            self._begin_loop((self.cursor_bar, max(last, self.cursor_bar)))

    def action_loop_to(self) -> None:
        """One's own loop ends with the bar at the cursor."""
        if self.facts is not None:
            first = self.setting.own_loop[0] if self.setting.own_loop else self.facts.bars[0]
            self._begin_loop((min(first, self.cursor_bar), self.cursor_bar))

    def action_steps(self) -> None:
        """Steps of tempo on or off."""
        steps = None if self.setting.steps else Steps(tempo=self.setting.tempo)
        self.setting = replace(self.setting, steps=steps)
        self._describe()

    def action_player(self, number: int) -> None:
        """Another player on or off; a word or a giver in the strip."""
        if self.has_strip:
            self.strip_digit(number)
            return
        numbers = [player.number for player in self.session.piece.players]
        if number == self.session.me.number:
            self.action_own()
        elif number in numbers and self.setting.recording:
            self.toggle_beside(number)
        elif number in numbers:
            self._set(replace(self.setting, muted=self.setting.muted ^ {number}))
            self._draw()

    def action_next_chunk(self) -> None:
        """The next chunk; of today's where one went out to practise those."""
        today, here = self.session.today, self.setting.chunk
        coming = today if self.is_at_passage else today[today.index(here) + 1 :] if here in today else ()
        self._go(coming[0] - here if coming else 1)

    def action_previous_chunk(self) -> None:
        """The chunk before."""
        self._go(-1)

    def action_lost(self) -> None:
        """Go to the next place that was lost by heart, as a loop."""
        passage = self.next_lost()
        if passage is None:
            self._say("No place is lost: play by heart (g hides your part) and be heard (R).")
            return
        was_on = self.sound.is_on
        self.begin_with(passage)
        self._load_at(passage.loop[0])
        if was_on:
            self.sound.play()
        self.say_passage(passage)

    def action_join(self) -> None:
        """The join with the next chunk, or the chunk alone."""
        if self.setting.chunk + 1 < len(self.session.chunks):
            self.setting = replace(self.setting, join=not self.setting.join, start=None, own_loop=None, trial=None)
            self._load_at(-1)
        else:
            self._say("Nothing follows the last chunk.")

    def action_step(self, by: int) -> None:
        """Move the cursor by a bar."""
        self.beat = 0
        if self.facts is not None and self.table is not None:
            bars = self.facts.bars
            self.cursor = min(max(bars[0], self.cursor_bar + by), bars[-1])
            self._turn_to(self.table.page_of(self.cursor - bars[0]))
            self._draw()

    def action_beat(self, by: int) -> None:
        """Move the cursor by a beat; while trying, the end of the try."""
        if self.tries is not None:
            self.action_try_end_beat(by)
            return
        count = max(1, len(beats(self.session.piece.bars[self.cursor_bar])))
        beat = self.beat + by
        if not 0 <= beat < count:
            self.action_step(1 if by > 0 else -1)
            beat = 0 if by > 0 else max(1, len(beats(self.session.piece.bars[self.cursor_bar]))) - 1
        self.beat, self.cursor = beat, self.cursor_bar
        self._draw()

    def action_turn(self, by: int) -> None:
        """Turn a page by hand; the cursor goes with it."""
        if self.facts is not None and self.table is not None:
            page = min(max(0, self.page + by), len(self.table.pages) - 1)
            self.cursor = self.facts.bars[0] + self.table.pages[page].first
            self._turn_to(page)
            self._draw()

    def action_rate(self, words: str) -> None:
        """Say how the pass went."""
        readiness, tempo = Readiness(words), self.setting.tempo
        chunk = self.session.chunks[self.setting.chunk].chunk
        if self.setting.join or self.setting.own_loop or self.setting.start is not None:
            self._say("Only whole chunks can be rated: play the chunk from its beginning first.")
            return
        if readiness is Readiness.AT_TEMPO and tempo < AT_TEMPO:
            least = f"{100 * AT_TEMPO:.0f} %"
            self._say(f"At tempo means {least} or more; this was {100 * tempo:.0f} %. Press s for under tempo.")
            return
        piece, number = self.session.piece, self.session.me.number
        seen = self.was_part_seen()
        self.ratings.append(self.session.history.rate(piece.digest, number, chunk.bars, readiness, tempo, seen))
        stepped = self.setting.rated(readiness is not Readiness.LEARNING)
        counts = counted(readiness, tempo, seen)
        said = f"{readiness.value} at {100 * tempo:.0f} % saved"
        if counts is not readiness:
            said = f"saved, but as {counts.value}: your part was in sight (g hides it)"
        self._say(f"{chunk.name}: {said}. Ctrl+Z undoes it.")
        if stepped != self.setting:
            self._set(stepped)

    def action_back(self) -> None:
        """Close the strip; back to the overview, your place stays."""
        if self.has_strip:
            self.close_strip()
            return
        bar = self.cursor_bar
        self.session.bar = bar
        leave(self)
        # Where they cannot be kept, that is said over the screen that comes.
        self.session.history.left_at(self.session.piece.digest, bar)
        remember(self.session, self.setting)

    # Changing what is played.

    def _load_at(self, cursor: int) -> None:
        """Other bars, with the cursor on one of them or on none."""
        self.cursor, self.beat, self.tries, self.mark = cursor, 0, None, None
        self._load()

    def _by_steps(self, steps: int) -> None:
        if self.has_strip:
            self.strip_more(steps)
        else:
            self._set(self.setting.faster(steps * _STEP))

    def _go(self, by: int) -> None:
        chunk = self.setting.chunk + by
        if 0 <= chunk < len(self.session.chunks):
            self.setting = replace(self.setting, chunk=chunk, join=False, start=None, own_loop=None, trial=None)
            self._load_at(-1)

    def _begin_from(self, bar: int | None) -> None:
        self.setting = replace(self.setting, start=bar)
        self.sound.load(self.setting)
        self.sound.play()
        self._describe()

    def _begin_loop(self, bars: tuple[int, int] | None) -> None:
        was_on = self.sound.is_on
        self.setting = replace(self.setting, own_loop=bars, start=None, loop=True)
        shown = shown_bars(self.session, self.setting)
        if self.facts is not None and self.facts.bars != shown:
            # The loop that was left reached further than the chunk.
            self.cursor = min(max(shown[0], self.cursor), shown[-1])
            self._gather()
        self.sound.load(self.setting)
        if was_on:
            self.sound.play()
        self._describe()

    def _typed_tempo(self, text: str | None) -> None:
        if not text:
            return
        try:
            share, figure = parse_tempo(text)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        if figure is not None and self.sound.written:
            share = figure / self.sound.written
        slowest, fastest = self.setting.tempi
        if not slowest <= share <= fastest:
            whose = "the recording's own" if self.setting.recording else "the written one"
            self._say(f"A tempo from {100 * slowest:.0f} to {100 * fastest:.0f} % of {whose} can be played.")
            return
        self._set(replace(self.setting, tempo=share))

    def _chosen_click(self, position: int | None) -> None:
        if position is not None and position >= 0:
            self._set(replace(self.setting, click=CLICKS[position]))

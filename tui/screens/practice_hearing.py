"""The practice screen hears the player: who does, what was early or late, the last pass, and what follows from it."""

import time
from fractions import Fraction

from textual import events
from textual.message import Message

from score.playback.sounding.sound_messages import EarsFound, PassEnded, Report, Stopped
from score.takes.readiness import Readiness
from score.takes.readiness_proposal import proposed_readiness
from tui.drawing.practice_head import HeadFacts
from tui.drawing.system_cells import System
from tui.drawing.when_rows import When, draw_when
from tui.ear_choice import EarChoice, EarKind
from tui.heard_pass import KeptPass, Lit
from tui.hearing import PassHearing
from tui.hearing_words import CARE, ear_choices, kept_words, last_pass_facts
from tui.key_bindings import keys_of
from tui.practice_facts import PracticeFacts
from tui.practice_setting import written_bars
from tui.screens.practice_stage import PracticeStage
from tui.screens.prompts import AskLine, AskOne
from tui.session import Session
from tui.widgets.cells_view import CellsView


class PracticeHearing(PracticeStage):
    """What is heard of the player, over and under the notation."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.hearing: PassHearing
        self.lit: dict[Fraction, float] = {}
        self.takes: list[tuple[int, int]] = []
        """Passes that were kept, and how many ratings there were before each."""
        self._asks_ear = False
        self.proposal: tuple[Readiness, float, bool | None] | None = None
        self._whens: dict[int, tuple[System, int]] = {}

    def sound_ready(self) -> None:
        """Open the ear that was chosen last."""
        self.hearing = PassHearing(self, self.session, self.sound, self._kept)
        self.hearing.open()

    def on_unmount(self) -> None:
        """Nobody hears what comes after."""
        self.hearing.close()

    def on_key(self, event: events.Key) -> None:
        """A tapped key counts from when the terminal gave it, not from when its turn has come."""
        if event.key in keys_of("practice", "tap", self.app.settings.keys):  # type: ignore[attr-defined]
            event.stop()
            event.prevent_default()
            self._tap(time.perf_counter() - (Message().time - event.time))

    def action_tap(self) -> None:
        """A stroke of one's own part."""
        self._tap(time.perf_counter())

    def _tap(self, moment: float) -> None:
        if not self.hearing.tapped(moment):
            if self.hearing.choice.kind is not EarKind.KEYS:
                self._say("Tapped keys are not listened to: R chooses who hears you.")
            return
        self.show_struck()

    def action_ear(self) -> None:
        """Choose who hears the player, as soon as the sound process has looked for ports."""
        if self.sound.player is None:
            self._say("Sound is not running: nothing plays that you could be heard along with.")
            return
        self._asks_ear = True
        self.sound.player.look_for_ears()

    def _ask_ear(self, choices: tuple[EarChoice, ...]) -> None:
        chosen = choices.index(self.hearing.choice) if self.hearing.choice in choices else 0

        def choose(position: int | None) -> None:
            if position is None or position < 0:
                return
            if choices[position].kind is EarKind.FILE:
                self.app.push_screen(AskLine("Sound file heard as if it were played now", "pass.flac"), self._file_ear)
            else:
                self._choose_ear(choices[position])

        words = [choice.words() for choice in choices]
        self.app.push_screen(AskOne("Who hears you", words, chosen, care=CARE), choose)

    def _file_ear(self, path: str | None) -> None:
        if path:
            self._choose_ear(EarChoice(EarKind.FILE, path))

    def _choose_ear(self, choice: EarChoice) -> None:
        self.hearing.choose(choice)
        self._divide()
        self._describe()

    def undo_take(self) -> str:
        """Take back the keeping of the last pass, where nothing was rated since."""
        if not self.takes or self.takes[-1][1] < len(self.ratings):
            return ""
        self.hearing.takes.take_back(self.takes.pop()[0])
        self.pass_forgotten()
        self._look_up()
        return "Last pass forgotten."

    def action_accept(self) -> None:
        """Keep what the last pass proposes as said by the player."""
        if self.proposal is None:
            self._say("Nothing is proposed: play the whole chunk and be heard.")
            return
        (readiness, tempo, in_sight), self.proposal = self.proposal, None
        chunk, piece = self.session.chunks[self.setting.chunk].chunk, self.session.piece
        me, history = self.session.me.number, self.session.history
        self.ratings.append(history.rate(piece.digest, me, chunk.bars, readiness, tempo, in_sight))
        self._say(f"{chunk.name}: {readiness.value} at {100 * tempo:.0f} % saved. Ctrl+Z undoes it.")

    # What is shown.

    def _gathered(self, facts: PracticeFacts) -> None:
        super()._gathered(facts)
        self._look_up()

    def _look_up(self) -> None:
        if self.facts is not None:
            self.hearing.gather(self.facts.bars)

    def show_heard(self) -> None:
        """Something else is known of these bars."""
        self.lit = {}
        # What is known may come before the pages are divided, or while they are: without room for it.
        if self.shows_when and (self.table is None or self.table.layout.systems[0].when == 0):
            self._divide()
        for number, (system, rows) in list(self._whens.items()):
            self.show_when(number, system, rows)
        self._describe()

    @property
    def shows_when(self) -> bool:
        """Somebody hears, or has heard these bars."""
        return self.hearing.is_on or bool(self.hearing.facts.signs)

    def show_when(self, number: int, system: System | None = None, rows: int = 0) -> None:
        """Show what was early or late under a system."""
        self._whens.pop(number, None)
        if system is None or not rows or self.facts is None:
            super().show_when(number)
            return
        self._whens[number] = system, rows
        bars, piece = self.facts.bars, self.session.piece
        start = piece.bars[bars[0]].start
        signs = {
            piece.bars[bar].start + at - start: stroke
            for (bar, at), stroke in self.hearing.facts.signs.items()
            if bar in bars
        }
        cells = draw_when(system, When(signs, self.lit), rows, self._colours)
        self.query_one(f"#when-{number}", CellsView).show(cells)

    def more_of_head(self, facts: HeadFacts) -> HeadFacts:
        """Who hears, how it was bar by bar, and the last pass."""
        heard = self.hearing.facts
        played = written_bars(self.sound.route) if self.sound.route else range(0)
        shares = tuple(heard.shares.get(bar) for bar in played) if heard.shares else ()
        ear = self.hearing.choice.kind.value if self.hearing.is_listening else ""
        facts = facts._replace(ear=ear, shares=shares)
        if heard.last is None or facts.is_strip:
            return facts
        return facts._replace(last=last_pass_facts(heard)) if self._is_tall else facts

    def last_words(self) -> str:
        """On a low screen the foot has what a tall one says above the notation."""
        last = self.hearing.facts.last
        if last is None or self._is_tall:
            return ""
        return f"last pass: {last.words or f'not judged, {last.why}'}   "

    @property
    def _is_tall(self) -> bool:
        """Whether the last pass has rows of its own."""
        return self.table is not None and self.table.layout.systems[0].when > 1

    # Following the sound process.

    def show_struck(self) -> None:
        """The light under the strokes just struck."""
        if lit := self.hearing.lit():
            self._light_strokes(lit)

    def _light_strokes(self, lit: list[Lit]) -> None:
        if self.facts is None:
            return
        piece, start = self.session.piece, self.session.piece.bars[self.facts.bars[0]].start
        here = {piece.bars[stroke.place[0]].start + stroke.place[1] - start: stroke.offset_ms for stroke in lit}
        self.lit |= here
        for number, (system, rows) in list(self._whens.items()):
            if any(system.holds(at) for at in here):
                self.show_when(number, system, rows)
                self.query_one(f"#when-{number}", CellsView).send()

    def _heard(self, report: Report) -> None:
        super()._heard(report)
        self.hearing.report(report)
        if isinstance(report, PassEnded | Stopped):
            self.lit = {}
        elif isinstance(report, EarsFound) and self._asks_ear:
            self._asks_ear = False
            self._ask_ear(ear_choices(report))

    def _kept(self, kept: KeptPass) -> None:
        """A pass was judged and kept; a whole one over the chunk proposes how far the player is with it."""
        self.takes.append((kept.number, len(self.ratings)))
        chunk = self.session.chunks[self.setting.chunk].chunk
        is_chunk = (
            kept.whole and kept.what.bars[-1] == chunk.last and kept.what.bars[0] in (chunk.first, chunk.start.bar)
        )
        what = kept.what
        readiness = proposed_readiness(kept.judged, what.tempo, what.in_sight) if is_chunk else None
        self.proposal = (readiness, what.tempo, what.in_sight) if readiness is not None else None
        self._say(kept_words(kept, readiness))
        self.pass_kept(kept)
        self._look_up()

"""Places that were lost by heart: a key goes to the next one, as a loop with one's own part out of sight."""

from dataclasses import replace
from typing import Self

from score.memory.fade import FadeStep
from score.takes.heart_passages import LostPassage, passage_words
from tui import clock
from tui.background import beside
from tui.heard_pass import KeptPass
from tui.memory_facts import passages_today
from tui.screens.practice_fading import PracticeFading
from tui.session import Session


class PracticeLost(PracticeFading):
    """Which places wait: those of the last pass by heart first, then those that come back today."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.waiting: tuple[LostPassage, ...] = ()
        self.passage: LostPassage | None = None

    def on_mount(self) -> None:
        """Look up what comes back today; what lies below is mounted by itself."""
        self._look_up_waiting()
        if self.passage is not None:
            self.say_passage(self.passage)

    @classmethod
    def at_passage(cls, session: Session, passage: LostPassage) -> Self:
        """The screen as it begins with a passage."""
        screen = cls(session, session.chunk_at(passage.bars[0]))
        screen.begin_with(passage)
        return screen

    def begin_with(self, passage: LostPassage) -> None:
        """Begin with a passage: its loop, one's own part out of sight; before the screen is shown, or while it is."""
        loop = passage.loop[0], passage.loop[-1]
        chunk = self.session.chunk_at(passage.bars[0])
        self.setting = replace(self.setting, chunk=chunk, join=False, start=None, own_loop=loop, loop=True, trial=None)
        self.cursor, self.passage = loop[0], passage
        self._hide(max(self.step, FadeStep.MARKS))

    @property
    def is_at_passage(self) -> bool:
        """Whether the loop is that of a passage."""
        return self.passage is not None and self.setting.own_loop == (self.passage.loop[0], self.passage.loop[-1])

    def next_lost(self) -> LostPassage | None:
        """The place that waits after this one, None where none does."""
        if not self.waiting:
            return None
        here = self.waiting.index(self.passage) if self.passage in self.waiting else -1
        return self.waiting[(here + 1) % len(self.waiting)]

    def say_passage(self, passage: LostPassage) -> None:
        """Say where one is and what the keys do."""
        self._say(f"By heart: {passage_words(self.session.piece, passage)}. w shows a bar, l leaves the loop.")

    def pass_kept(self, kept: KeptPass) -> None:
        """What was lost waits; what was played by heart and not lost waits no more."""
        super().pass_kept(kept)
        if kept.what.is_by_heart and kept.judged.judged:
            played = set(kept.what.bars)
            later = [each for each in self.waiting if not played.issuperset(each.bars)]
            self.waiting = (*kept.passages, *(each for each in later if each not in kept.passages))

    def pass_forgotten(self) -> None:
        """What waits is what the history says."""
        super().pass_forgotten()
        self.waiting = ()
        self._look_up_waiting()

    def _look_up_waiting(self) -> None:
        beside(self, "waiting", lambda: passages_today(self.session, clock.today()), self._waiting_looked_up)

    def _waiting_looked_up(self, passages: tuple[LostPassage, ...]) -> None:
        self.waiting = (*self.waiting, *(each for each in passages if each not in self.waiting))

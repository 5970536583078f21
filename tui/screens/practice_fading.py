"""One's own part fades on the stand: a key hides more of it, another shows a bar for a moment and counts that."""

from math import inf

from score.memory.fade import STEP_WORDS, Fade, FadeStep
from score.places import bar_name
from score.plain_text import several
from score.playback.sounding.sound_messages import PassTime, Report
from tui.screens.practice_stage import PracticeStage
from tui.session import Session

_MOMENT = 2.5
"""Seconds for which a bar is shown."""


class PracticeFading(PracticeStage):
    """What is hidden, which bars were looked at, and whether a pass was played with one's part out of sight."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.step = FadeStep.ALL
        self.are_others_shown = True
        self.shown: tuple[int, ...] = ()
        self.glances = 0
        self._was_seen = True
        self._last_was_seen: bool | None = None

    def was_part_seen(self, ended: bool = True) -> bool:
        """Whether one's part was in sight in the pass that ended last, or in this one."""
        if ended and self._last_was_seen is not None:
            return self._last_was_seen
        return self._is_seen or self._was_seen

    @property
    def _is_seen(self) -> bool:
        return self.step < FadeStep.MARKS or bool(self.shown)

    def fade(self) -> Fade | None:
        """What is hidden."""
        if self.step == FadeStep.ALL and self.are_others_shown:
            return None
        phrases = tuple(each.chunk.first for each in self.session.chunks)
        return Fade(self.step, self.are_others_shown, frozenset(self.shown), phrases=phrases)

    def fade_words(self) -> str:
        """The step, and how often a bar was looked at."""
        if self.step == FadeStep.ALL:
            return ""
        glances = f", {several(self.glances, 'glance')}" if self.glances else ""
        return f"░ by heart {self.step} of {len(FadeStep)}{glances}   "

    def _heard(self, report: Report) -> None:
        if isinstance(report, PassTime) and report.offset == -inf:
            # Whatever was looked at before is no matter of the pass that begins.
            self._was_seen = self._is_seen
        super()._heard(report)

    def pass_over(self) -> None:
        """Whether one's part was seen is asked anew for the next pass."""
        self._last_was_seen = self._was_seen or self._is_seen
        self._was_seen = self._is_seen

    def action_fade(self, by: int = 1) -> None:
        """Hide more, after the last step nothing; or less."""
        self._hide(FadeStep((self.step - 1 + by) % len(FadeStep) + 1))
        self._say(f"What is left: {STEP_WORDS[self.step]}.")
        self._draw()

    def _hide(self, step: FadeStep) -> None:
        self.step, self.shown, self.glances = step, (), 0
        self._was_seen, self._last_was_seen = self._is_seen, None

    def action_hide_others(self) -> None:
        """Hide the others' rhythms, or show them."""
        self.are_others_shown = not self.are_others_shown
        self._say(f"The others' rhythms are {'shown' if self.are_others_shown else 'hidden'}.")
        self._draw()

    def action_glance(self) -> None:
        """Show the bar that sounds, or the one at the cursor, for a moment."""
        if self.step == FadeStep.ALL:
            self._say("Nothing of your part is hidden: press g first.")
            return
        position = self.sound.position
        bar = position.bar if position is not None and self.sound.is_on and position.bar >= 0 else self.cursor_bar
        self.glances += 1
        self._was_seen = True
        self.shown = (*self.shown, bar)
        self._say(f"Bar {bar_name(self.session.piece, bar)} is shown for a moment.")
        self.set_timer(_MOMENT, self._cover_again)
        self._draw()

    def _cover_again(self) -> None:
        self.shown = self.shown[1:]
        self._draw()

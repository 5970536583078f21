"""The practice screen lets the others follow: on and off, how far they go, from where, and what was learned."""

import time

from score.errors import InbreathError
from score.playback.sounding.sound_messages import EarLost, PassEnded, Report, Stopped
from score.time.tries import Try
from tui.background import beside
from tui.drawing.practice_head import HeadFacts
from tui.ear_choice import EarKind
from tui.practice_follow import GIVES, PracticeFollow
from tui.screens.practice_tries import PracticeTries
from tui.session import Session


class PracticeFollowing(PracticeTries):
    """What the others do with the player."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.forgotten: tuple[int, ...] = ()
        self._pass_over = False

    def on_unmount(self) -> None:
        """The sound card is as it was."""
        self._follow_no_more()

    @property
    def follow(self) -> PracticeFollow | None:
        """Who follows, None while nobody does."""
        return self.sound.follow

    def action_follow(self) -> None:
        """Let the others follow, or no more."""
        if self.follow is not None:
            self._follow_no_more()
            self._say("The others keep their own time again.")
            self.sound.load(self.setting)
            self._describe()
            return
        if self.sound.player is None:
            self._say("Sound is not running: there is nobody who could follow.")
        elif not self.hearing.is_on:
            self._say("Nobody hears you yet: R chooses who does.")
        elif self.hearing.choice.kind not in (EarKind.KEYS, EarKind.MIDI):
            # What a microphone hears of the loudspeakers would be followed too.
            self._say("They follow MIDI or tapped keys: R chooses who hears you.")
        else:
            self.sound.follow = PracticeFollow(self.session, self.sound.player)
            self.hearing.follower = self.sound.follow.struck
            self.sound.player.quick(True)
            self._say(f"The others follow you, {self.sound.follow.give:.0%} of the way; play, and go on.")
            self.sound.load(self.setting)
            self._describe()

    def action_follow_here(self) -> None:
        """The next stroke is from where the others are."""
        follow, at = self._follow_or_say(), self.sound.position
        if follow is not None and follow.live is not None:
            follow.live.begin(at.seconds if at is not None else 0.0)
            self._say("Your next stroke is from here.")

    def action_give(self) -> None:
        """How far they go with the player."""
        if (follow := self._follow_or_say()) is not None:
            give = GIVES[(GIVES.index(follow.give) + 1) % len(GIVES)]
            follow.set_give(give)
            self._say(f"The others go {give:.0%} of the way with you.")

    def action_leaps(self) -> None:
        """Whether they look for the player elsewhere."""
        if (follow := self._follow_or_say()) is not None:
            on = not follow.leaps
            follow.set_leaps(on)
            self._say("The others look for you when you begin elsewhere." if on else "The others stay in place.")

    def action_usual(self) -> None:
        """The player's usual time as a try: seen as a curve, heard, kept like any other."""
        follow, setting = self._follow_or_say(), self.setting
        if follow is None or self.has_strip:
            return

        def shown(trial: Try | None) -> None:
            if trial is None:
                self._say("No shape is known of these bars yet: play them a few times.")
                return
            self.action_try()
            self._change_tries(lambda tries: tries.taken(trial))

        beside(self, "usual", lambda: follow.usual_try(setting), shown, lambda error: self._say(error.line))

    def action_forget_usual(self) -> None:
        """Forget the player's usual time."""
        if (follow := self._follow_or_say()) is not None:
            self.forgotten = follow.kept.forget(self.session.piece.digest, self.session.me.number)
            gone, nothing = "Your usual time is forgotten. Ctrl+Z brings it back.", "Nothing is known of your time yet."
            self._say(gone if self.forgotten else nothing)

    def undo_forgotten(self) -> str:
        """Bring the usual time back."""
        if not self.forgotten or self.follow is None:
            return ""
        self.follow.kept.recall(self.forgotten)
        self.forgotten = ()
        return "Your usual time is known again."

    # What is shown.

    def more_of_head(self, facts: HeadFacts) -> HeadFacts:
        """How it stands with the others, and how fast against what is written."""
        facts, follow, at = super().more_of_head(facts), self.follow, self.sound.position
        if follow is None or at is None or at.bar < 0:
            return facts
        tempo = at.quarters_per_minute / follow.rate
        return facts._replace(state=follow.together(at.seconds).value, tempo=f"q = {tempo:.0f}", share=self._share())

    def idle_words(self) -> str:
        """How far the others go, before anything else."""
        words = super().idle_words()
        return f"others follow {self.follow.give:.0%}   {words}" if self.follow is not None else words

    def _share(self) -> str:
        assert self.follow is not None
        return f"{100 / self.follow.rate:.0f} % of written"

    # Following the sound process.

    def _said_words(self) -> tuple[object, ...]:
        follow, at = self.follow, self.sound.position
        if follow is None or at is None:
            return super()._said_words()
        return *super()._said_words(), follow.together(at.seconds), self._share()

    def _listen(self) -> None:
        super()._listen()
        follow, at = self.follow, self.sound.position
        if follow is not None and follow.live is not None and at is not None:
            follow.live.at(at.seconds, time.perf_counter())

    def _heard(self, report: Report) -> None:
        super()._heard(report)
        if self.follow is None:
            return
        if isinstance(report, EarLost) and self.follow.live is not None:
            # Nobody is heard any more: nobody is waited for either.
            self.follow.live.let_go(time.perf_counter())
        elif isinstance(report, PassEnded):
            self._keep_pass()
            self._pass_over = True
        elif isinstance(report, Stopped) and self._pass_over:
            # The next pass begins with what this one has taught.
            self._pass_over = False
            self.sound.load(self.setting)
            if self.setting.loop:
                self.sound.play()

    def _keep_pass(self) -> None:
        assert self.follow is not None
        try:
            strokes = self.follow.keep_pass()
        except InbreathError as error:
            self._say(error.line)
            return
        if strokes:
            self._say(f"{strokes} strokes heard: the others know your time a little better.")

    def _follow_or_say(self) -> PracticeFollow | None:
        """Who follows; where nobody does, the player is told."""
        if self.follow is None:
            self._say("The others do not follow you: F lets them.")
        return self.follow

    def _follow_no_more(self) -> None:
        if self.sound.follow is None:
            return
        self.sound.follow = self.hearing.follower = None
        self.sound.stop()
        if self.sound.player is not None:
            self.sound.player.quick(False)

"""Who hears the player on the practice screen, and what becomes of a pass: heard, judged beside the screen, kept."""

import time
from collections.abc import Callable
from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from score.errors import InbreathError, WritingError
from score.playback.sounding.sound_messages import Caught, EarLost, Listen, PassTime, Report, StoodOut, Struck
from score.playback.sounding.stroke_ears import StrokeLog
from score.strokes.heard_stroke import KEY, MIDI, SOUND, HeardStroke
from score.takes.expected_strokes import ExpectedPass
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.live_pass import AFTER, BEFORE, TAIL, nearest
from score.takes.lost_runs import lost_names, lost_runs
from tui import clock
from tui.background import beside
from tui.ear_choice import NOBODY, EarChoice, EarKind, kept_level, recalled_ear
from tui.heard_pass import KeptPass, Lit
from tui.memory_facts import keep_pass
from tui.pad_hearing import judged_strokes, pad_seconds
from tui.pass_facts import NOTHING_HEARD, PassFacts, pass_facts
from tui.pass_watch import Passed, PassWatch
from tui.practice_sound import PracticeSound
from tui.session import Session
from tui.settings import audio_path

if TYPE_CHECKING:
    from score.takes.kept_audio import KeptAudio
    from score.takes.live_sound import CaughtBlock
    from tui.sound_hearing import SoundHearing

_SHOWN_TAKES = 40
_NEAR = 0.15
"""Seconds between a stroke and the written one it lights."""
FRAMES = 48_000
"""Frames a second of what a card catches."""
_CARE = {
    EarKind.MICROPHONE: "Headphones help.",
    EarKind.HEADPHONES: "Start low; hold one to the mic.",
}
_JOBS = count()


class PassHearing:
    """Hears the passes of one practice screen.

    Args:
        screen: whose keys must not wait.
        session: the opened piece.
        sound: what sounds.
        told: called with a pass that was kept.
    """

    def __init__(
        self, screen: Screen[Any], session: Session, sound: PracticeSound, told: Callable[[KeptPass], None]
    ) -> None:
        self._screen, self._session, self._sound, self._told = screen, session, sound, told
        self._watch = PassWatch(sound.sent)
        self.choice = recalled_ear(session, screen.app.settings.ear)  # type: ignore[attr-defined]
        self.facts = NOTHING_HEARD
        self.follower: Callable[[HeardStroke], None] | None = None
        """Told every stroke; while somebody is, no pass is judged: the others go with the player, not the other way."""
        self._log = StrokeLog()
        self._sounds: SoundHearing | None = None
        self._pending = 0
        self._struck: list[HeardStroke] = []
        self._expected: ExpectedPass | None = None
        self._begins = self._late = 0.0

    @property
    def is_on(self) -> bool:
        """Whether anybody is to hear the player."""
        return self.choice.kind is not EarKind.NOBODY

    @property
    def takes(self) -> KeptTakes:
        """The passes that were kept."""
        return KeptTakes(self._session.history)

    def choose(self, choice: EarChoice) -> None:
        """Be heard by another ear from now on, or by nobody; says so in one line."""
        self.close()
        self.choice = choice
        self.open()
        self._say(self._chosen_words())
        self._keep_choice(choice)

    def _keep_choice(self, choice: EarChoice) -> None:
        """The settings name it from now on; where they cannot be written it is remembered all the same."""
        self._session.history.remember("ear", f"{choice.kind.value} {choice.port}".strip())
        app: Any = self._screen.app
        try:
            app.settings = app.settings.with_ear(choice.words())
        except InbreathError as error:
            app.settings = replace(app.settings, ear=choice.words())
            self._say(error.line, is_trouble=True)

    def _chosen_words(self) -> str:
        if not self.is_on:
            return "Nobody hears you."
        if self.choice.kind is EarKind.FILE:
            return "The file is heard with each pass, as if it were played now."
        if not self.choice.kind.is_sound:
            return f"{self.choice.words()}: heard while a pass plays."
        audio = self._audio
        saved = f"sound is saved ({audio.words})" if audio is not None else "no sound is saved"
        return f"Open while a pass plays; {saved}. {_CARE[self.choice.kind]}"

    def open(self) -> None:
        """Open the ear that is chosen."""
        self._late = pad_seconds(self._session, self.choice)
        if self.is_on and self._sound.player is not None:
            self._sound.player.listen(self.choice.wish(kept_level(self._session)))
        if self.choice.kind.is_sound:
            # What sound needs is loaded before the first of it comes in.
            beside(self._screen, "sound", lambda: self._sound_hearing, lambda _: None)

    def close(self) -> None:
        """Give the ear back."""
        if self.is_on and self._sound.player is not None:
            self._sound.player.listen(Listen())
        self._expected, self._struck = None, []

    def tapped(self, moment: float) -> bool:
        """A key was tapped at a moment of `time.perf_counter`; gives back whether anybody heard it."""
        if self.choice.kind is not EarKind.KEYS or self._watch.passing() is None:
            return False
        self._hear(HeardStroke(moment, source=KEY))
        return True

    def _hear(self, stroke: HeardStroke) -> None:
        if self.follower is not None:
            self.follower(stroke)
            return
        self._log.add(stroke)
        self._struck.append(stroke._replace(seconds=stroke.seconds - self._late))

    def gather(self, bars: range) -> None:
        """Look up what was heard of some bars before."""
        session = self._session

        def look() -> PassFacts:
            player = session.me.number
            takes = self.takes.of(session.piece.digest, player, bars, latest=_SHOWN_TAKES)
            return pass_facts(session.piece, player, takes)

        beside(self._screen, "heard", look, self._gathered)

    def _gathered(self, facts: PassFacts) -> None:
        self.facts = facts
        self._screen.show_heard()  # type: ignore[attr-defined]

    def report(self, report: Report) -> None:
        """Take a report of the sound process."""
        passed = self._watch.hear(report, time.perf_counter())
        if isinstance(report, Struck):
            self._hear(report.stroke)
        elif isinstance(report, Caught):
            self._sound_hearing.add(report)
        elif isinstance(report, StoodOut):
            self._light_sound(report)
        elif isinstance(report, EarLost):
            self.choice = NOBODY
            self._say(f"{report.text}; practice goes on unheard.", is_trouble=True)
        elif isinstance(report, PassTime):
            self._expect()
        if passed is not None and self.is_on and self.follower is None:
            self._expected = None
            self._pending += 1
            # The last stroke may come late.
            wait = TAIL + 0.1 if self.choice.kind.is_sound else AFTER + 0.05
            seen = self._screen.was_part_seen(passed.stopped is None)  # type: ignore[attr-defined]
            self._screen.set_timer(wait, lambda: self._judge(passed._replace(in_sight=seen), self.choice))

    def _light_sound(self, stroke: StoodOut) -> None:
        """A stroke for the light."""
        passing = self._watch.passing()
        if passing is not None:
            late = (stroke.frame - passing.times[-1].frame) / FRAMES - passing.sent[-1].starts
            self._struck.append(HeardStroke(passing.begins + late - self._sound_hearing.delay))

    def _expect(self) -> None:
        """What the pass that goes on asks for, for the light."""
        passing = self._watch.passing()
        if passing is None or not self.is_on:
            return
        session = self._session
        self._begins = passing.begins

        def expect() -> ExpectedPass | None:
            live = passing.live(session.piece, session.me.number)
            return live.expected(session.piece) if live is not None else None

        def expected(answer: ExpectedPass | None) -> None:
            self._expected = answer

        beside(self._screen, "expected", expect, expected)

    def lit(self) -> list[Lit]:
        """Written strokes struck since the last call, for the light."""
        strokes, self._struck = self._struck, []
        expected = self._expected
        if expected is None or self._watch.passing() is None:
            return []
        places = [nearest(expected, stroke.seconds - self._begins, _NEAR) for stroke in strokes]
        return [Lit((near.bar, near.at), away) for near, away in filter(None, places)]

    @property
    def _sound_hearing(self) -> "SoundHearing":
        """Loads what sound needs when there is any."""
        if self._sounds is None:
            from tui.sound_hearing import SoundHearing

            self._sounds = SoundHearing(self._session)
        return self._sounds

    @property
    def is_listening(self) -> bool:
        """Whether a pass is heard at this moment."""
        return self.is_on and (self._watch.passing() is not None or self._pending > 0)

    def _judge(self, passed: Passed, choice: EarChoice) -> None:
        """Judge a pass beside the screen; each is a job of its own, none may push another out of the line."""
        self._pending -= 1
        if choice != self.choice:
            return
        strokes = self._log.between(passed.times[0].moment - BEFORE, time.perf_counter())
        self._log.forget(passed.times[0].moment)
        sound = self._sound_hearing.taken(passed) if choice.kind.is_sound else None

        def judge() -> KeptPass | None:
            return self._kept(passed, choice, strokes, sound)

        beside(self._screen, f"judge {next(_JOBS)}", judge, self._judged, self._refused)

    def _kept(
        self, passed: Passed, choice: EarChoice, strokes: tuple[HeardStroke, ...], sound: "CaughtBlock | None"
    ) -> KeptPass | None:
        session = self._session
        piece, player = session.piece, session.me.number
        live = passed.live(piece, player)
        if live is None or (passed.stopped is not None and sound is None and not strokes):
            return None
        judged = (
            self._sound_hearing.judged(live, passed, sound)
            if sound is not None
            else judged_strokes(session, live, passed, strokes, choice)
        )
        if judged is None:
            return None
        source = SOUND if sound is not None else MIDI if choice.kind is EarKind.MIDI else KEY
        audio, trouble = self._keep_audio(sound) if sound is not None and judged.judged else ("", "")
        tempo = passed.sent[-1].setting.tempo
        what = TakeOf(piece.digest, player, live.bars(), tempo=tempo, source=source, audio=audio)
        what = what._replace(route=live.route, in_sight=passed.in_sight)
        number, passages = keep_pass(session, what, judged)
        lost = lost_names(piece, lost_runs(judged))
        whole = passed.stopped is None
        return KeptPass(number, whole, what, judged=judged, lost=lost, passages=passages, trouble=trouble)

    def _keep_audio(self, sound: "CaughtBlock") -> tuple[str, str]:
        """The file of its sound where the player wants one, and what went wrong: a full disk takes no strokes away."""
        if self._audio is None:
            return "", ""
        try:
            kept = self._audio.keep(sound.heard, clock.now())
        except WritingError as error:
            return "", f"Pass kept without its sound. {error.line}"
        for name in kept.gone:
            self.takes.forget_audio(name)
        return kept.name, ""

    @property
    def _audio(self) -> "KeptAudio | None":
        settings = self._screen.app.settings  # type: ignore[attr-defined]
        if not settings.keep_audio:
            return None
        from score.takes.kept_audio import KeptAudio

        return KeptAudio(audio_path(), settings.audio_limit)

    def _judged(self, kept: KeptPass | None) -> None:
        if kept is None:
            return
        self._told(kept)
        if kept.trouble:
            self._say(kept.trouble, is_trouble=True)

    def _say(self, text: str, is_trouble: bool = False) -> None:
        self._screen.app.say(text, is_trouble=is_trouble)  # type: ignore[attr-defined]

    def _refused(self, error: InbreathError) -> None:
        self._say(error.line, is_trouble=True)

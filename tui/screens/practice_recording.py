"""A recording at the practice screen: in place of the machine's players, as their time, as a try; or the next one."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import partial
from pathlib import Path

from score.beats import Place
from score.errors import InbreathError
from score.time.tries import Tries, Try
from tui.background import beside
from tui.practice_setting import Setting, lowered_part, recorded_doubts, route_of
from tui.recorded_practice import (
    ListenedTo,
    keep_paths,
    kept_paths,
    listen_to,
    load_early,
    prepare_early,
    recorded_try,
)
from tui.score_paths import typed_path
from tui.screens.practice_following import PracticeFollowing
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.time_left import TimeLeft

_QUESTION = "A recording of the piece (it stays on this machine)"
_NAME = 20
_FOLLOWED = "The others follow you, and a recording follows nobody: press F first."


def _short_name(path: str) -> str:
    """A recording's name as the foot of a small screen has room for it."""
    name = Path(path).name
    return name if len(name) <= _NAME else f"{name[: _NAME - 9]}…{name[-8:]}"


class PracticeRecording(PracticeFollowing):
    """Which recordings are at hand; every key changes what sounds from the next beat on."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.recordings = [path for path in kept_paths(session) if Path(path).is_file()]
        self.doubts: frozenset[int] = frozenset()

    def sound_ready(self) -> None:
        """Whatever is made with a recording is looked at: one's own part may still have to be made lower."""
        super().sound_ready()
        self.sound.made, self.sound.refused = self._made, self._cannot_sound

    # What the keys do.

    def action_recording(self) -> None:
        """Play along with a recording, or with the machine's players again."""
        if self.setting.recording:
            self._machine_again()
        else:
            self._with_one(Setting.with_recording)

    def action_recorded_time(self) -> None:
        """The machine's players in the recording's time, or in their own again."""
        if self.setting.time_of:
            self._machine_again()
        else:
            self._with_one(lambda setting, path: replace(setting.with_recording(""), time_of=path))

    def action_other_recording(self) -> None:
        """The next recording, at the same place; the second one is asked for."""
        if not self.setting.recorded:
            self._say("Press P first; then B goes to another recording.")
        elif len(self.recordings) < 2:
            self.action_new_recording()
        else:
            self.recordings = [*self.recordings[1:], self.recordings[0]]
            self._sound_with(self._as_before)

    def action_new_recording(self) -> None:
        """Add another recording and go on with it."""
        if self.follow is not None:
            self._say(_FOLLOWED)
        else:
            self._ask(self._as_before)

    def action_usual(self) -> None:
        """While nobody is followed and a recording is at hand, its tempo as a try."""
        if self.follow is not None or not self.recordings:
            super().action_usual()
            return
        facts, path = self.facts, self.recordings[0]
        if facts is not None and not self.has_strip:
            bars = self._tried_bars(facts.bars)
            beside(self, "usual", lambda: recorded_try(self.session, path, bars), self._recorded_try, self._not_heard)

    def action_follow(self) -> None:
        """Nobody is followed by a recording."""
        if self.setting.recorded:
            self._say("A recording follows nobody: P gives you the machine's players first.")
            return
        super().action_follow()

    def toggle_beside(self, number: int) -> None:
        """A player of the machine beside the recording, or not."""
        self._set(replace(self.setting, beside=self.setting.beside ^ {number}))

    def _change_tries(self, change: Callable[[Tries], Tries]) -> None:
        """A try bends the machine's time, so the machine plays it."""
        if self.setting.recorded:
            self.setting = self.setting.with_recording("")
            self._say("The machine plays what you try. P: the recording again.")
        super()._change_tries(change)

    # Recordings at hand.

    def _as_before(self, setting: Setting, path: str) -> Setting:
        """Another recording heard as the one before was."""
        return replace(setting, time_of=path) if setting.time_of else setting.with_recording(path)

    def _with_one(self, heard_as: Callable[[Setting, str], Setting]) -> None:
        if self.follow is not None:
            self._say(_FOLLOWED)
        elif self.recordings:
            self._listen_to(self.recordings[0], heard_as)
        else:
            self._ask(heard_as)

    def _ask(self, heard_as: Callable[[Setting, str], Setting]) -> None:
        def typed(path: str | None) -> None:
            if path:
                self._listen_to(str(typed_path(path)), heard_as)

        beside(self, "early", load_early, lambda _: None)
        self.app.push_screen(AskLine(_QUESTION, "take.flac, .wav, .mp3 or .ogg"), typed)

    def _listen_to(self, path: str, heard_as: Callable[[Setting, str], Setting]) -> None:
        shown = [""]

        def progress(step: str, share: float) -> None:
            said = f"{_short_name(path)}: {step}, {int(20 * share) * 5} %"
            if said != shown[0]:
                shown[0] = said
                self.app.call_from_thread(self._say, said)

        work = partial(listen_to, self.session, path, TimeLeft(progress, is_live=True))
        beside(self, "recording", work, partial(self._heard_one, heard_as), self._not_heard)

    def _heard_one(self, heard_as: Callable[[Setting, str], Setting], heard: ListenedTo) -> None:
        self.recordings = [heard.path, *(path for path in self.recordings if path != heard.path)]
        keep_paths(self.session, self.recordings)
        self._sound_with(heard_as, heard.said)

    def _not_heard(self, error: InbreathError) -> None:
        self.recordings = [path for path in self.recordings if Path(path).is_file()]
        self.app.say(error.line, is_trouble=True)  # type: ignore[attr-defined]

    # What sounds.

    def _sound_with(self, heard_as: Callable[[Setting, str], Setting], said: str = "") -> None:
        if self.has_strip:
            self.close_strip()
        self._set(heard_as(self.setting, self.recordings[0]))
        another = "B: the next." if len(self.recordings) > 1 else "B: another."
        name = _short_name(self.recordings[0])
        how = f"In the time of {name}. M: its own." if self.setting.time_of else f"{name} plays. P: the machine."
        self._say(said or f"{how} {another}")

    def _machine_again(self) -> None:
        self._set(self.setting.with_recording(""))
        self._say("The machine's players again.")

    def _cannot_sound(self, setting: Setting) -> None:
        """What cannot be played with a recording the machine plays, so that nobody stands there without sound."""
        if setting.recorded:
            self.setting = setting.with_recording("")
            self.sound.load(self.setting)
            self._describe()

    def _made(self, setting: Setting) -> None:
        """A timeline was made: what is in doubt is shown, and one's own part lowered where it still is as it was."""
        if setting.recorded:
            beside(self, "doubts", lambda: recorded_doubts(self.session, setting), self._doubted, self._not_heard)
        else:
            self._doubted(frozenset())
            self._prepare_early(setting)
        if setting.recording and setting.own != "on":
            self._make_lower(setting)

    def _prepare_early(self, setting: Setting) -> None:
        """The recording used last is made ready for these bars, so that it sounds as soon as it is asked for."""
        if self.recordings:
            path = self.recordings[0]
            route = route_of(self.session, setting)
            beside(self, "early", lambda: prepare_early(self.session, path, route), lambda _: None)

    def _doubted(self, bars: frozenset[int]) -> None:
        if bars != self.doubts:
            self.doubts = bars
            self._draw()

    def more_marks(self) -> tuple[tuple[Fraction, str], ...]:
        """A question mark over every bar that is in doubt in the recording."""
        facts, piece = self.facts, self.session.piece
        if facts is None:
            return super().more_marks()
        marks = (
            (facts.moment(piece, Place(bar, Fraction(0))), "?") for bar in sorted(self.doubts) if bar in facts.bars
        )
        return (*super().more_marks(), *marks)

    def _make_lower(self, setting: Setting) -> None:
        """One's own part is made lower beside the screen and heard from the next beat on."""

        def lower(is_new: bool) -> None:
            if is_new and self.setting.recording == setting.recording and self.setting.own != "on":
                self._set(self.setting)
                self._say("Your part is softer from here on.")

        beside(self, "lower", lambda: lowered_part(self.session, setting), lower, self._not_heard)

    # A try.

    def _tried_bars(self, bars: range) -> range:
        loop = self.setting.own_loop
        return range(loop[0], loop[1] + 1) if loop else bars

    def _recorded_try(self, trial: Try | None) -> None:
        if trial is None:
            self._say("No shape is near its tempo here. M: hear it as it is.")
            return
        self.action_try()
        self._change_tries(lambda tries: tries.taken(trial))

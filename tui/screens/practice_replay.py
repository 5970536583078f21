"""The practice screen plays the last pass back with the others in step; nobody hears the player meanwhile."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from score.playback.sound_events import Timeline
from score.playback.sounding.sound_messages import PassEnded, PassTime, Report, Stopped
from score.time.route import Route
from tui.background import beside
from tui.practice_setting import shown_bars
from tui.screens.practice_hearing import PracticeHearing
from tui.session import Session
from tui.settings import audio_path


class _PlayedBack(NamedTuple):
    """What is played back.

    Attributes:
        sounds: the pass and the others.
        route: its bars.
        words: which pass it is.
        folder: where its sound lies meanwhile.
    """

    sounds: Timeline
    route: Route
    words: str
    folder: TemporaryDirectory[str]


class PracticeReplay(PracticeHearing):
    """One key; whatever else sounds afterwards is what was set before."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self._number = 0
        """Of the timeline that is played back, 0 while none is."""
        self._begun = False
        self._folder: TemporaryDirectory[str] | None = None

    def on_unmount(self) -> None:
        """What was laid down for playing it goes."""
        self._clear()

    def action_hear_pass(self) -> None:
        """Play the last pass over these bars back."""
        if self.sound.player is None:
            self._say("Sound is not running: nothing can be played back.")
        elif self.sound.follow is not None:
            self._say("The others follow you: press F first, then T plays your last pass back.")
        else:
            session, bars = self.session, shown_bars(self.session, self.setting)
            beside(self, "replay", lambda: _last_pass(session, bars), self._play_back)

    def _play_back(self, passed: _PlayedBack | None) -> None:
        if passed is None:
            self._say("No pass of these bars is saved yet: R chooses who hears you.")
            return
        if self.sound.player is None:
            return
        # A microphone is for passes that are played, not for those played back.
        self.hearing.close()
        self._clear()
        self._folder, self._begun = passed.folder, False
        self._number = self.sound.play_once(passed.sounds, passed.route)
        self._say(f"{passed.words} Space stops.")
        self._describe()

    def _heard(self, report: Report) -> None:
        if self._number and isinstance(report, PassTime):
            self._begun = self._begun or report.number == self._number
            if report.number == self._number:
                return
        if self._begun and isinstance(report, PassEnded):
            return
        super()._heard(report)
        if self._begun and isinstance(report, Stopped):
            self._clear()
            self.hearing.open()
            if self.sound.plays_once:
                self.sound.load(self.setting)

    def _clear(self) -> None:
        self._number, self._begun = 0, False
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None


def _last_pass(session: Session, bars: range) -> _PlayedBack | None:
    """The last pass over some bars that was judged, ready to sound; takes too long for the screen's own thread."""
    from score.takes.kept_takes import KeptTakes
    from score.takes.played_back import saved_sound, take_over, take_with_others

    takes = KeptTakes(session.history).of(session.piece.digest, session.me.number, bars)
    take = next((take for take in reversed(takes) if take.judged.judged), None)
    if take is None:
        return None
    folder = TemporaryDirectory()
    over = take_over(session.piece, session.group, take)
    sounds = take_with_others(session.piece, over, take, audio_path(), Path(folder.name))
    when = f"{take.at.astimezone():%d %b %H:%M}"
    words = f"Your pass of {when} with the others."
    if saved_sound(take, audio_path()) is None:
        words = f"Your strokes of {when} with the others (no sound saved)."
    return _PlayedBack(sounds, over.route, words, folder=folder)

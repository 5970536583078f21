"""The sound process as the practice screen uses it: timelines made beside the screen, and what it reports."""

from collections.abc import Callable
from functools import partial
from itertools import count
from typing import Any, NamedTuple

from textual.screen import Screen

from score.errors import InbreathError
from score.playback.sound_events import Timeline
from score.playback.sounding.sound_messages import PassEnded, Position, Report, Stopped
from score.playback.sounding.sound_process import SoundProcess
from score.time.pulse import PulseOptions
from score.time.route import Route
from tui.background import beside
from tui.practice_follow import PracticeFollow
from tui.practice_setting import THINNING, Setting, pulse_of, route_of, timeline_of
from tui.session import Session

_NUMBERS = count(1)
"""Timelines of all screens are told apart: the sound process outlives them."""
_MOST_SENT = 64


class Sent(NamedTuple):
    """A timeline as it was handed to the sound process.

    Attributes:
        setting: what it was made of.
        route: what it plays.
        pulse: the time it goes in.
        starts: second of it at which the music begins.
    """

    setting: Setting
    route: Route
    pulse: PulseOptions
    starts: float


class PracticeSound:
    """Loads, swaps, plays and follows.

    Args:
        screen: whose keys must not wait.
        session: the opened piece.
        player: the process, None when practising without one.
        told: called when something has been loaded.
    """

    def __init__(
        self, screen: Screen[Any], session: Session, player: SoundProcess | None, told: Callable[[], None]
    ) -> None:
        self.screen, self.session, self.player, self.told = screen, session, player, told
        self.playing = False
        self.position: Position | None = None
        self.turn = 1
        self.ended = False
        """Whether a pass has come to its end and nothing was played since."""
        self.written = 0.0
        """Quarters a minute at which it begins as written, 0 before that is known."""
        self.route: Route | None = None
        self.sent: dict[int, Sent] = {}
        """What was handed over, by the numbers the reports of time give."""
        self.follow: PracticeFollow | None = None
        """Who is followed while it plays, None for nobody."""
        self.plays_once = False
        """Whether what plays was made elsewhere and is not what is set."""
        self.made: Callable[[Setting], None] = lambda setting: None
        """Told the setting of whatever begins to sound."""
        self.refused: Callable[[Setting], None] = lambda setting: None
        """Told the setting that cannot sound."""
        self._is_ready = self._wants_play = self._is_waking = False
        self._loop = True

    def wake(self, call: Callable[[], None] | None) -> None:
        """Call this on the screen's thread as soon as something is reported, so that a light comes with its stroke.

        Args:
            call: takes what was reported; None for nothing.
        """
        if self.player is not None:
            self.player.wake(None if call is None else partial(self._wake, call))

    def _wake(self, call: Callable[[], None]) -> None:
        """Something was reported, in another thread; what comes before the call has its turn goes with it."""
        if not self._is_waking:
            self._is_waking = True
            self.screen.call_later(self._awake, call)

    def _awake(self, call: Callable[[], None]) -> None:
        self._is_waking = False
        call()

    def load(self, setting: Setting) -> None:
        """Take what the setting says, from its beginning; what played stops."""
        was_playing = self.playing
        self.route, self._loop = route_of(self.session, setting), setting.loop
        self.playing, self._is_ready, self._wants_play, self.position = False, False, False, None
        self.turn, self.ended, self.plays_once = 1, False, False
        if was_playing and self.player is not None:
            self.player.stop()
        beside(
            self.screen,
            "timeline",
            lambda: self._made(setting),
            lambda timeline: self._loaded(timeline, setting),
            lambda error: self._refused(error, setting),
        )

    def change(self, setting: Setting) -> None:
        """Go on with another setting of the same bars, from the next beat."""
        if not self.playing or self.plays_once or (self.follow is not None and self.follow.is_other_time(setting)):
            # Whoever is followed has their own tempo; another written one begins anew.
            wants = self.is_on
            self.load(setting)
            self._wants_play = wants
            return
        turn = self.turn
        beside(
            self.screen,
            "timeline",
            lambda: self._made(setting, turn),
            lambda timeline: self._swapped(timeline, setting),
            lambda error: self._refused(error, setting),
        )

    def _made(self, setting: Setting, turn: int = 1) -> Timeline:
        """The timeline of a setting, in the time of whoever is followed."""
        timeline = timeline_of(self.session, setting, turn)
        return self.follow.over(timeline, setting) if self.follow is not None else timeline

    def play(self) -> None:
        """Play, as soon as there is something to."""
        self.turn, self.position, self.ended = 1, None, False
        if self.player is None or not self._is_ready:
            self._wants_play = self.player is not None
            return
        if self.follow is not None:
            self.follow.begin()
        self.player.play()
        self.playing = True

    def play_once(self, timeline: Timeline, route: Route) -> int:
        """Play something made elsewhere to its end; what is set comes back with `load`.

        Args:
            timeline: what sounds.
            route: the bars it goes over.

        Returns:
            The number by which the reports of time call it, 0 where nothing can sound.
        """
        if self.player is None:
            return 0
        number = next(_NUMBERS)
        self.player.load(timeline, number=number)
        self.player.play()
        self.route, self.position, self.turn, self.ended = route, None, 1, False
        self.playing, self.plays_once, self._wants_play, self._is_ready = True, True, False, False
        return number

    def stop(self) -> None:
        """Fall silent."""
        self.playing = self._wants_play = False
        self.position = None
        if self.player is not None:
            self.player.stop()

    def loop(self, on: bool) -> None:
        """Loop, or play to the end."""
        self._loop = on
        if self.player is not None:
            self.player.loop(on and self.follow is None)

    @property
    def is_on(self) -> bool:
        """Whether it plays, or will as soon as it can."""
        return self.playing or self._wants_play

    def listen(self, setting: Setting) -> list[Report]:
        """Everything reported since the last call, already noted here."""
        reports = self.player.reports() if self.player is not None else []
        for report in reports:
            self._note(report, setting)
        return reports

    def _note(self, report: Report, setting: Setting) -> None:
        if isinstance(report, Position):
            self.position = report if self.playing else None
        elif isinstance(report, PassEnded):
            self.turn, self.ended = report.turn + 1, True
            if setting.click == THINNING and setting.loop:
                self.change(setting)
        elif isinstance(report, Stopped):
            self.playing, self.position = False, None
        elif self.player is not None and not self.player.alive:
            # The process has gone and said so: nothing will sound any more.
            self.player, self.playing, self.position = None, False, None

    def _refused(self, error: InbreathError, setting: Setting) -> None:
        self.screen.app.say(error.line, is_trouble=True)  # type: ignore[attr-defined]
        self.refused(setting)

    def _loaded(self, timeline: Timeline, setting: Setting) -> None:
        self._is_ready, self.written = True, _tempo(timeline) / setting.tempo
        if self.player is not None:
            self.player.load(timeline, self._loop and self.follow is None, number=self._number(timeline, setting))
            if self._wants_play:
                self._wants_play = False
                self.play()
        self.told()
        self.made(setting)

    def _number(self, timeline: Timeline, setting: Setting) -> int:
        number = next(_NUMBERS)
        if len(self.sent) >= _MOST_SENT:
            self.sent.pop(min(self.sent))
        if setting.recorded:
            return number  # it goes in its own time: a pass beside it is not set against the score's
        route, pulse = route_of(self.session, setting), pulse_of(self.session, setting)
        self.sent[number] = Sent(setting, route, pulse, starts=timeline.starts)
        return number

    def _swapped(self, timeline: Timeline, setting: Setting) -> None:
        if self.player is not None and self.playing:
            self.player.swap(timeline, self._number(timeline, setting))
            self.made(setting)
        else:
            self._loaded(timeline, setting)


def _tempo(timeline: Timeline) -> float:
    return next((beat.quarters_per_minute for beat in timeline.beats if beat.bar >= 0), 0.0)

"""The others follow the player on the practice screen: their usual time, the strokes that are heard, what is kept.

No music is decided here.
"""

import time
from typing import NamedTuple

from score.following.from_group import group_leads
from score.following.heard_parts import heard_parts
from score.following.leader_moments import moved_moments
from score.following.learned_shape import learned_shape
from score.following.learned_time import PlayedPlace, learned_tempo, learned_time
from score.following.live_following import LiveFollowing, Together
from score.following.played_time import USUAL_GIVE
from score.playback.bent_timeline import SecondsMap, bent_timeline
from score.playback.sound_events import Timeline
from score.playback.sounding.sound_process import SoundProcess
from score.playback.tracks import Passage, TrackOptions
from score.strokes.heard_stroke import KEY, MIDI, HeardStroke
from score.takes.kept_readings import LEAST_STROKES, KeptReadings
from score.time.from_group import pulse_options
from score.time.tries import Try
from tui.practice_setting import Setting, pulse_of, route_of, shown_bars
from tui.session import Session

GIVES = (0.25, 0.5, 0.75, 1.0)


class _Over(NamedTuple):
    """What is followed over a timeline."""

    setting: Setting
    usual: SecondsMap | None
    live: LiveFollowing


class PracticeFollow:
    """Follows the player who practises.

    Args:
        session: the opened piece.
        player: the process that sounds.
    """

    def __init__(self, session: Session, player: SoundProcess) -> None:
        self._session, self._player = session, player
        self.give = _recalled_give(session)
        self.leaps = True
        self._over: _Over | None = None

    @property
    def live(self) -> LiveFollowing | None:
        """The following over what was loaded last."""
        return self._over.live if self._over is not None else None

    @property
    def kept(self) -> KeptReadings:
        """How the player took the time before."""
        return KeptReadings(self._session.history)

    def is_other_time(self, setting: Setting) -> bool:
        """Whether a setting has other seconds than what was loaded last."""
        if self._over is None:
            return True
        before = self._over.setting
        return (before.tempo, before.trial, before.count_in) != (setting.tempo, setting.trial, setting.count_in)

    def over(self, timeline: Timeline, setting: Setting) -> Timeline:
        """A timeline in the player's usual time, to be followed over; takes too long for the screen's own thread.

        Raises:
            InbreathError: the player rests throughout, or the group's file cannot be used.
        """
        over = self._over
        usual = over.usual if over is not None and not self._is_new(over, setting) else self._follow_over(setting)
        return bent_timeline(timeline, usual) if usual is not None else timeline

    def begin(self) -> None:
        """A pass begins: what is known of the player by now counts."""
        if self._over is not None:
            self._over.live.begin()

    def struck(self, stroke: HeardStroke) -> None:
        """A stroke was heard."""
        if self._over is not None and stroke.source in (KEY, MIDI):
            self._over.live.struck(stroke.seconds, stroke.pitch)

    def set_give(self, give: float) -> None:
        """Go farther or less far with the player, from now on and the next time."""
        self.give = give
        self._session.history.remember("give", f"{give:g}")
        if self._over is not None:
            self._over.live.set_give(give, time.perf_counter())

    def set_leaps(self, on: bool) -> None:
        """Look for the player elsewhere after a silence, or stay in place."""
        self.leaps = on
        if self._over is not None:
            self._over.live.leaps = on

    def together(self, seconds: float) -> Together:
        """How it stands at so many seconds into the timeline."""
        return self._over.live.together(seconds) if self._over is not None else Together.LISTENING

    @property
    def rate(self) -> float:
        """Real seconds the others take for one of the timeline's."""
        return self._over.live.rate if self._over is not None else 1.0

    def keep_pass(self) -> int:
        """Keep how the pass was played; gives back of how many strokes, 0 where there were too few.

        Raises:
            WritingError: it cannot be written.
        """
        played = self._over.live.played() if self._over is not None else ()
        self._over = None
        if len(played) < LEAST_STROKES:
            return 0
        self.kept.keep(self._session.piece.digest, self._session.me.number, played)
        return len(played)

    def usual_try(self, setting: Setting) -> Try | None:
        """The player's usual time over the bars as a try, None where nothing near a shape is known."""
        session, piece = self._session, self._session.piece
        bars = shown_bars(session, setting)
        start, end = piece.bars[bars[0]].start, piece.bars[bars[-1]].start + piece.bars[bars[-1]].length
        pulse = pulse_options(session.group, piece, setting.tempo)
        return learned_shape(learned_tempo(piece, pulse, start, end, self._readings()), start, end)

    def _is_new(self, over: _Over, setting: Setting) -> bool:
        return self.is_other_time(setting) or route_of(self._session, over.setting) != route_of(self._session, setting)

    def _follow_over(self, setting: Setting) -> SecondsMap | None:
        session, piece = self._session, self._session.piece
        route, pulse = route_of(session, setting), pulse_of(session, setting)
        options = TrackOptions(session.me.number, pulse=pulse, count_in=setting.count_in)
        parts = heard_parts(
            piece, Passage("these bars", route), options, [session.me.number], group_leads(session.group, piece)
        )
        usual = learned_time(piece, route, pulse, setting.count_in, self._readings())
        if usual is not None:
            parts = {number: moved_moments(moments, usual) for number, moments in parts.items()}
        live = LiveFollowing(self._player, parts, self.give)
        live.leaps = self.leaps
        self._over = _Over(setting, usual, live)
        return usual

    def _readings(self) -> list[list[PlayedPlace]]:
        kept = self.kept.of(self._session.piece.digest, self._session.me.number)
        return [[PlayedPlace(*stroke) for stroke in reading] for reading in kept]


def _recalled_give(session: Session) -> float:
    kept = session.history.recall("give")
    return next((give for give in GIVES if kept == f"{give:g}"), USUAL_GIVE)

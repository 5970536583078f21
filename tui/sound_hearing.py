"""Passes heard as sound: what the card has caught, and what is kept of delay and level between passes."""

from score.playback.sounding.sound_messages import Caught
from score.strokes.spectral_rise import RATE
from score.takes.judged_pass import DelayFrom, JudgedPass
from score.takes.live_pass import LivePass
from score.takes.live_sound import CaughtBlock, CaughtSound, SoundHints, judge_live_sound
from tui.ear_choice import keep_level, kept_level
from tui.pass_watch import Passed
from tui.session import Session

_USUAL_DELAY = 0.07
"""Seconds from the machine to the ear and back until a pass has measured it (three buffers of 20 ms and the air)."""
_REALLY_PLAYED = 0.8
"""Share of the written strokes that must have been heard for a pass's level to be kept."""


class SoundHearing:
    """Keeps what was caught until its pass is judged.

    Args:
        session: the opened piece.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._caught = CaughtSound()
        self._delay: float | None = None
        self._last = -1

    def add(self, caught: Caught) -> None:
        """Some frames; where they begin at 0 the card has been opened anew, and its delay is another."""
        if caught.frame < self._last:
            self._delay = None
        self._last = caught.frame
        self._caught.add(caught.frame, caught.heard, caught.sent)

    @property
    def delay(self) -> float:
        """Seconds of this opening's delay, the usual way of a card where it is not known yet."""
        return self._delay if self._delay is not None else _USUAL_DELAY

    def taken(self, passed: Passed) -> CaughtBlock:
        """The sound of a pass, from the beginning of its timeline on; what came before is let go."""
        first = passed.times[0].frame
        self._caught.forget(first)
        return self._caught.between(first, self._last + RATE)

    def judged(self, live: LivePass, passed: Passed, caught: CaughtBlock) -> JudgedPass | None:
        """Judge it; the delay of this opening and the level of this player are kept."""
        piece = self._session.piece
        # Where the tempo was changed, what is judged begins later in what was caught.
        starts = passed.sent[-1].starts + live.begins - passed.begins
        starts += (passed.times[-1].frame - passed.times[0].frame) / RATE
        hints = SoundHints(starts, self._delay, level=kept_level(self._session))
        judged = judge_live_sound(piece, live, caught, hints)
        if judged is not None and judged.delay.origin is DelayFrom.MIX:
            self._delay = judged.delay.seconds
        if judged is not None and judged.judged and not hints.level:
            self._keep_level(judged)
        return judged

    def _keep_level(self, judged: JudgedPass) -> None:
        written = [stroke for stroke in judged.strokes if stroke.expected is not None]
        hit = sum(stroke.state.is_timed for stroke in written)
        if judged.level > 0 and hit >= _REALLY_PLAYED * len(written):
            keep_level(self._session, judged.level)

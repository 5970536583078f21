"""From what the sound process reports to passes that can be judged: where they begin, in which time, and to where."""

from collections.abc import Mapping
from typing import NamedTuple

from score.piece import Piece
from score.playback.sounding.sound_messages import PassEnded, PassTime, Report, Stopped
from score.takes.live_pass import LivePass
from tui.practice_sound import Sent


class Passed(NamedTuple):
    """A pass as the reports tell it.

    Attributes:
        times: what was told of its time, in the order of their places; never empty.
        sent: the timeline each of them means.
        stopped: moment at which it was broken off, None where it was not.
        in_sight: whether the own part was seen meanwhile, None where nobody can tell.
    """

    times: tuple[PassTime, ...]
    sent: tuple[Sent, ...]
    stopped: float | None = None
    in_sight: bool | None = None

    @property
    def begins(self) -> float:
        """Moment at which its music begins, or would have in the time it goes in last."""
        return self.times[-1].moment + self.sent[-1].starts

    def live(self, piece: Piece, player: int) -> LivePass | None:
        """What can be judged: where its tempo was changed, from the next bar on; broken off, the bars that had passed.

        Takes too long for the screen's own thread.
        """
        pulses = [sent.pulse for sent in self.sent]
        changes = [place for place in range(1, len(pulses)) if pulses[place] != pulses[place - 1]]
        live: LivePass | None = LivePass(self.sent[-1].route, player, pulses[-1], begins=self.begins)
        if live is not None and changes:
            live = live.after(piece, self.times[changes[-1]].offset)
        return live.until(piece, self.stopped) if live is not None and self.stopped is not None else live


class PassWatch:
    """Follows the reports of the sound process.

    Args:
        sent: timelines that were handed over, by their numbers.
    """

    def __init__(self, sent: Mapping[int, Sent]) -> None:
        self._sent = sent
        self._times: list[PassTime] = []

    def hear(self, report: Report, now: float) -> Passed | None:
        """Take a report; gives back the pass that has just ended or was broken off, None while one goes on.

        Args:
            report: of the sound process.
            now: moment at which it is read.
        """
        if isinstance(report, PassTime):
            # Whatever was told before for later places holds no more.
            self._times = [*(time for time in self._times if time.offset < report.offset), report]
            return None
        if not isinstance(report, PassEnded | Stopped):
            return None
        passed, self._times = self.passing(), []
        if passed is not None and isinstance(report, Stopped):
            return passed._replace(stopped=now)
        return passed

    def passing(self) -> Passed | None:
        """The pass that goes on, None between passes."""
        if not self._times or any(time.number not in self._sent for time in self._times):
            return None
        return Passed(tuple(self._times), tuple(self._sent[time.number] for time in self._times))

"""The player's inner works: absolute deadlines on one clock, independent of pipes and devices."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import replace
from math import inf

from score.playback.sound_events import BeatTime, Timeline
from score.playback.sounding.sound_messages import Bend, PassEnded, PassTime, Position, Report, Stopped
from score.playback.sounding.sound_outputs import Output
from score.playback.splice import next_join, spliced

REPORT_SECONDS = 1 / 30
_LEAST_SHARE = 0.4
"""While the time bends two strikes are never closer than this share of what is written."""
_TINY = 1e-9
_MARGIN = 0.02
"""Seconds in which a timeline that was swapped in gets to the output."""


class Clockwork:
    """Plays a timeline on an output.

    All moments are seconds of one clock; a strike's moment is the origin plus its own seconds, so nothing drifts.

    Args:
        output: what sounds.
        report: told positions and ends.
    """

    def __init__(self, output: Output, report: Callable[[Report], None]) -> None:
        self.output, self.report = output, report
        self.timeline = self._whole = Timeline((), 0.0)
        self._number = 0
        self.loop, self.gap = False, 0.0
        self.playing = False
        self.turn = 1
        self._origin = 0.0
        self._bend: Bend | None = None
        self._last = -inf, -inf
        self._next = 0
        self._reported = 0.0

    def load(self, timeline: Timeline, loop: bool, gap: float, number: int = 0) -> None:
        """Take a timeline; what played stops."""
        self.stop()
        self._number = number
        self.timeline = self._whole = timeline
        self.loop, self.gap = loop, gap
        self.output.load(timeline.strikes)

    def play(self, seconds: float, now: float) -> None:
        """Begin at so many seconds into the timeline."""
        self.playing, self.turn, self.timeline = True, 1, self._whole
        # A little time ahead, so that the first stroke is not late.
        self._origin = now + max(0.02, self.output.ahead) - seconds
        self._next = bisect_left([strike.seconds for strike in self.timeline.strikes], seconds)
        self._reported = 0.0
        self._straighten()
        self._tell_time(-inf)

    def stop(self) -> None:
        """Fall silent."""
        was = self.playing
        self.playing = False
        self.output.silence()
        if was:
            self.report(Stopped())

    def swap(self, timeline: Timeline, now: float, number: int = 0) -> None:
        """Go on with another making of the same route, from the next beat of which nothing was told to the output yet.

        Where this pass has no such beat any more, the next one begins with it.
        """
        self._whole, self._number = timeline, number
        if not self.playing:
            self.timeline = timeline
            self.output.load(timeline.strikes)
            return
        place = next_join(self.timeline, timeline, self._next, self._passed(now + self.output.ahead + _MARGIN))
        if place is not None:
            self.timeline = spliced(self.timeline, timeline, self._next, place)
            self._origin -= place.later
            self._last = self._last[0] + place.later, self._last[1]
            if self._bend:
                bend, later = self._bend, place.later
                self._bend = replace(bend, seconds=bend.seconds + later, until=bend.until + later)
            self._next = 0
            self._tell_time(place.offset)
        # What comes next is got ready first.
        self.output.load(self.timeline.strikes)

    def bend(self, bend: Bend) -> None:
        """Go on in another time; what was told to the output stays."""
        if self.playing:
            self._bend = bend

    def step(self, now: float) -> float | None:
        """Do what is due; gives back the moment at which there is more to do, None when nothing is."""
        ends = self.output.release(now)
        if not self.playing:
            return ends
        self._strike(now)
        if self._passed(now) >= self.timeline.seconds:
            self._end(now)
        self._report(now)
        moments = [self._when(self._coming()) - self.output.ahead, self._reported + REPORT_SECONDS]
        if ends is not None:
            moments.append(ends)
        return min(moments)

    def _strike(self, now: float) -> None:
        strikes = self.timeline.strikes
        while self._next < len(strikes):
            strike = strikes[self._next]
            when = self._when(strike.seconds)
            if when - self.output.ahead > now:
                return
            self._last = strike.seconds, when
            self.output.strike(replace(strike, length=strike.length * self._bend.rate) if self._bend else strike, when)
            self._next += 1

    def _when(self, seconds: float) -> float:
        """When a second of the timeline falls; infinite while it has to wait."""
        bend = self._bend
        if bend is None:
            return self._origin + seconds
        if seconds >= bend.until - _TINY:
            return inf
        before, when = self._last
        return max(bend.moment + bend.rate * (seconds - bend.seconds), when + _LEAST_SHARE * (seconds - before))

    def _passed(self, now: float) -> float:
        """Seconds into the timeline at a moment."""
        bend = self._bend
        if bend is None:
            return now - self._origin
        return min(bend.seconds + (now - bend.moment) / bend.rate, bend.until)

    def _straighten(self) -> None:
        """Back to the timeline's own time."""
        self._bend, self._last = None, (-inf, -inf)

    def _end(self, now: float) -> None:
        self.report(PassEnded(self.turn))
        if not self.loop:
            self.playing = False
            self.report(Stopped())
            return
        self.turn += 1
        self._origin = min(now, self._when(self.timeline.seconds)) + max(self.gap, self._whole.again)
        self._straighten()
        self._next, self.timeline = 0, self._whole
        self._tell_time(-inf)
        self._strike(now)

    def _tell_time(self, offset: float) -> None:
        moment = self._origin + self.output.latency
        frame = self.output.frame_of(self._origin, offset == -inf)
        self.report(PassTime(self._number, self.turn, offset, moment=moment, frame=frame))

    def _coming(self) -> float:
        """Seconds into the timeline of the next thing to do."""
        strikes = self.timeline.strikes
        return strikes[self._next].seconds if self._next < len(strikes) else self.timeline.seconds

    def _report(self, now: float) -> None:
        if now - self._reported >= REPORT_SECONDS:
            self._reported = now
            self.report(self.position(now))

    def position(self, now: float) -> Position:
        """Where the player is."""
        seconds = min(self._passed(now - self.output.latency), self.timeline.seconds)
        beats = self.timeline.beats
        index = bisect_right([beat.seconds for beat in beats], seconds) - 1
        if index < 0 or not beats:
            return Position(
                seconds,
                -1,
                1,
                offset=beats[0].offset if beats else 0.0,
                turn=self.turn,
                quarters_per_minute=beats[0].quarters_per_minute if beats else 0.0,
            )
        beat, following = beats[index], beats[index + 1] if index + 1 < len(beats) else None
        offset = beat.offset + _passed(beat, following, seconds)
        return Position(
            seconds, beat.bar, beat.beat, offset=offset, turn=self.turn, quarters_per_minute=beat.quarters_per_minute
        )


def _passed(beat: BeatTime, following: BeatTime | None, seconds: float) -> float:
    """Quarters since a beat."""
    if following is None:
        return (seconds - beat.seconds) * beat.quarters_per_minute / 60
    length = following.seconds - beat.seconds
    return (following.offset - beat.offset) * (seconds - beat.seconds) / length if length > 0 else 0.0

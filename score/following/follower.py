"""The time of the others while they follow: where the player is and when their next stroke comes, made into one map.

The map says when a second of the timeline falls in real seconds. Every stroke of the player moves it, by as much as the
others give; they wait for the player where something is held, and never go far ahead of a stroke that did not come.
"""

import copy
import math

from score.following.leader_clock import LeaderClock
from score.following.leader_moments import LeaderMoment
from score.following.place_beam import PlaceBeam
from score.playback.sounding.sound_messages import Bend

USUAL_GIVE = 0.75
"""How far the others go with the player: 0 keeps strict time, 1 goes wholly."""
_REST = 2.0
"""Seconds without a stroke of the player's after which their entry says where they are, not how fast."""
_AHEAD_STROKES, _AHEAD_SECONDS = 2, 0.8
"""How far the others go on beyond a stroke that is missing."""
_FAR, _SOON, _SOON_SHARE, _LATE, _LATE_SHARE = 5, 0.06, 0.45, 0.3, 1.0


class Follower:
    """Follows one player.

    Args:
        moments: what the player strikes; never empty.
        give: from 0 to 1.
        start: index of the moment the first stroke is taken for.
    """

    def __init__(self, moments: tuple[LeaderMoment, ...], give: float = USUAL_GIVE, start: int = 0) -> None:
        self._moments, self._give, self._start = moments, give, start
        self._next_wait = _next_waits(moments)
        self._beam: PlaceBeam | None = None
        self._clock = LeaderClock(moments[start].seconds, 0.0)
        self._before = self._clock
        self._odd: tuple[int, float] | None = None
        self._taken = 0.0
        self.passed: dict[int, float] = {}
        """When each moment was played, by its index."""
        self.place = -1
        self.seconds, self.moment, self.rate = moments[start].seconds, 0.0, 1.0

    def heard(self, moment: float, pitch: int | None) -> None:
        """A stroke of the player's.

        Args:
            moment: when, real seconds; not before the last one.
            pitch: MIDI number, None where it is not known.
        """
        if self._beam is None:
            self._beam = PlaceBeam(self._moments, self._start, moment)
            self._clock, self.place = LeaderClock(self.seconds, moment), self._start
            self.moment = self._taken = self.passed[self.place] = moment
            return
        place = self._beam.heard(moment, pitch)
        is_stroke = self._beam.guesses[place].moment == moment
        if self.place < place <= self.place + _FAR:
            self._settle()
            self._take(place, moment)
            self.place = place
        elif place <= self.place and is_stroke and moment - self._taken > 0.05:
            # What was taken for a stroke before was a stray one.
            self._clock, self._odd = copy.copy(self._before), None
            self.place = place
            if self._moments[place].seconds >= self._clock.seconds:
                self._take(place, moment)
        elif place > self.place + _FAR:
            self._before, self._odd = copy.copy(self._clock), None
            self._clock.place(self._moments[place].seconds, moment)
            self.place, self.passed[place] = place, moment
            self._bend(wholly=True)

    def when(self, seconds: float) -> float:
        """When a second of the timeline falls; infinite while the others have to wait for the player."""
        if self._give > 0 and self.place >= 0 and seconds >= self._reach() - 1e-9:
            return math.inf
        return self.moment + self.rate * (seconds - self.seconds)

    def bend(self) -> Bend:
        """The map, as the sound process takes it."""
        until = self._reach() if self._give > 0 and self.place >= 0 else math.inf
        return Bend(self.seconds, self.moment, self.rate, until=until)

    def _reach(self) -> float:
        """The second of the timeline at which the others wait."""
        moments, leash, wait = self._moments, self.place + 1 + _AHEAD_STROKES, self._next_wait[self.place]
        reach = moments[wait].seconds if wait < len(moments) else math.inf
        if leash < len(moments):
            reach = min(reach, max(moments[leash].seconds, moments[self.place + 1].seconds + _AHEAD_SECONDS))
        return reach

    def _settle(self) -> None:
        """A stroke that came far too soon was meant, for the player has gone on from it."""
        if self._odd is not None:
            place, moment = self._odd
            self._clock.heard(self._moments[place].seconds, moment)
            self._odd = None

    def _take(self, place: int, moment: float) -> None:
        seconds = self._moments[place].seconds
        for other in [other for other in self.passed if other >= place]:
            del self.passed[other]
        self.passed[place] = moment
        self._before, self._taken = copy.copy(self._clock), moment
        late = moment - self._clock.expected(seconds)
        gap = max(0.02, self._clock.rate * (seconds - self._clock.seconds))
        waited = self._waited(place)
        if waited or late > max(_LATE, _LATE_SHARE * gap):
            self._clock.place(seconds, moment)
            self._bend(wholly=waited)
        elif late < -max(_SOON, _SOON_SHARE * gap):
            self._odd = place, moment
        else:
            self._clock.heard(seconds, moment)
            self._bend()

    def _waited(self, place: int) -> bool:
        """Whether something was held, or the player rested, on the way to a moment."""
        passed = range(min(self.place + 1, place), place + 1)
        return any(
            self._moments[i].waits or (i and self._moments[i].seconds - self._moments[i - 1].seconds > _REST)
            for i in passed
        )

    def _bend(self, wholly: bool = False) -> None:
        """The map goes towards the player's time, by as much as the others give."""
        if not self._give:
            return
        give = 1.0 if wholly else self._give
        mine = self.moment + self.rate * (self._clock.seconds - self.seconds)
        self.seconds, self.moment = self._clock.seconds, mine + give * (self._clock.moment - mine)
        self.rate = 1 + self._give * (self._clock.rate - 1)


def _next_waits(moments: tuple[LeaderMoment, ...]) -> list[int]:
    """For every moment the next one that everybody waits for; the number of moments where there is none."""
    waits, coming = [len(moments)] * len(moments), len(moments)
    for index in range(len(moments) - 1, -1, -1):
        waits[index] = coming
        if moments[index].waits:
            coming = index
    return waits

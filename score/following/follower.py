"""One player who is followed: where they are and when their next stroke comes, and what that does to the others' time.

Every stroke moves the others' map, by as much as they give; they wait for the player where something is held, and
never go far ahead of a stroke that did not come. Where somebody else leads the player is only listened to.
"""

import math
from bisect import bisect_right

from score.following.leader_moments import LeaderMoment
from score.following.leader_time import LeaderTime
from score.following.learned_time import PlayedPlace
from score.following.place_beam import PlaceBeam
from score.following.played_time import USUAL_GIVE, PlayedTime
from score.playback.sounding.sound_messages import Bend

_REST = 2.0
"""Seconds without a stroke of the player's after which their entry says where they are, not how fast."""
_TOO_EARLY = 1.0
"""Seconds before a first entry that comes after a rest: nobody enters so early."""
_AHEAD_STROKES, _AHEAD_SECONDS = 2, 0.8
"""How far the others go on beyond a stroke that is missing."""
_FAR, _SOON, _SOON_SHARE, _LATE, _LATE_SHARE = 5, 0.06, 0.45, 0.3, 1.0
_MEMORY, _TOO_ALIKE, _BACK_OFF, _LEAST_GIVE, _COME_BACK = 0.85, -0.25, 0.85, 0.35, 0.02
"""Two who correct towards each other overshoot in turn: then the others give less for a while."""
_TOGETHER = 0.06
_LOST, _FOUND = 3, 2
"""So many notes in a row that fit nowhere, and so many strokes that fit again."""
_LONG = 1.5
"""Times its written length for which blows on a note may be a roll that is not written."""


class Follower:
    """Follows one player.

    Args:
        moments: what the player strikes; never empty.
        give: from 0 to 1, for a map of their own.
        start: index of the moment the first stroke is taken for.
        time: the map that several share.
    """

    def __init__(
        self,
        moments: tuple[LeaderMoment, ...],
        give: float = USUAL_GIVE,
        start: int = 0,
        time: PlayedTime | None = None,
    ) -> None:
        self._moments, self._start = moments, start
        self.time = time or PlayedTime(give)
        self._led = [index for index, moment in enumerate(moments) if moment.leads]
        self._next_wait = _next_waits(moments)
        self._beam: PlaceBeam | None = None
        self._clock = LeaderTime(moments, start, 0.0)
        self._before = self._clock
        self._odd: tuple[int, float] | None = None
        self._taken = 0.0
        self._product, self._square, self._last_error, self._share = 0.0, 1e-6, 0.0, 1.0
        self._was_late = False
        self._strays = self._fits = 0
        self.place = -1

    @property
    def rate(self) -> float:
        """The player's own: real seconds a second of the timeline."""
        return self._clock.rate

    @property
    def played(self) -> tuple[PlayedPlace, ...]:
        """Where in the piece each moment stands that was played, and when it was, in order."""
        passed = sorted(self._beam.passed.items()) if self._beam is not None else ()
        return tuple(
            PlayedPlace(self._moments[index].offset, moment, self._moments[index].run) for index, moment in passed
        )

    @property
    def is_lost(self) -> bool:
        """Whether what they play fits nowhere near."""
        return self._strays >= _LOST

    def heard(self, moment: float, pitch: int | None) -> None:
        """A stroke of the player's.

        Args:
            moment: when, real seconds; not before the last one.
            pitch: MIDI number, None where it is not known.
        """
        if self._beam is None:
            self._begin(moment)
            return
        place = self._beam.heard(moment, pitch)
        is_stroke = self._beam.guesses[place].moment == moment
        self._count_strays(place, is_stroke, moment, pitch)
        if self.is_lost:
            # A key that sticks, another piece: nobody is led by that; a stroke that fits will say where they are.
            return
        if self.place < place <= self.place + _FAR:
            self._settle()
            self._take(place, moment)
            self.place = place
        elif place <= self.place and is_stroke and moment - self._taken > _TOGETHER - 0.01:
            # What was taken for a stroke before was a stray one.
            self._clock, self._odd = self._before.copied(), None
            self.place = place
            if place >= self._clock.index:
                self._take(place, moment)
        elif place > self.place + _FAR:
            self._before, self._odd = self._clock.copied(), None
            self._clock.place(place, moment)
            self.place = place
            self._bend(place, wholly=True)

    def when(self, seconds: float) -> float:
        """When a second of the timeline falls; infinite while the others have to wait for the player."""
        return math.inf if seconds >= self.reach - 1e-9 else self.time.when(seconds)

    def bend(self) -> Bend:
        """The map, as the sound process takes it."""
        return self.time.bend(self.reach)

    @property
    def reach(self) -> float:
        """The second of the timeline at which the others wait for this player; infinite where they do not."""
        if not self.time.give or self.place < 0:
            return math.inf
        moments, wait = self._moments, self._next_wait[self.place]
        reach = moments[wait].seconds if wait < len(moments) else math.inf
        missing = bisect_right(self._led, self.place)
        if missing + _AHEAD_STROKES < len(self._led):
            leash, first = self._led[missing + _AHEAD_STROKES], self._led[missing]
            reach = min(reach, max(moments[leash].seconds, moments[first].seconds + _AHEAD_SECONDS))
        return reach

    def _begin(self, moment: float) -> None:
        """The first stroke; when the others play already, where they are says which one it is."""
        start = self._start
        if self.time.is_led:
            here = self.time.passed(moment)
            start = min(range(start, len(self._moments)), key=lambda index: abs(self._moments[index].seconds - here))
        elif self._is_too_early(moment):
            return
        seconds = self._moments[start].seconds
        self._beam = PlaceBeam(self._moments, start, moment)
        self._clock, self.place = LeaderTime(self._moments, start, moment), start
        self._taken = moment
        if not self.time.is_led and (self._moments[start].leads or not self.time.is_known):
            self.time.set(seconds, moment)
            self.time.is_led = True

    def _is_too_early(self, moment: float) -> bool:
        """Whether the others are on their way to a first entry that is still far away."""
        first, begun = self._moments[self._start].seconds, self.time
        return begun.is_known and first - begun.seconds > _REST and begun.when(first) - moment > _TOO_EARLY

    def _count_strays(self, place: int, is_stroke: bool, moment: float, pitch: int | None) -> None:
        """How many notes in a row fit nowhere; a chord's, a roll's, or a grace of the next say nothing."""
        here = self._moments[place]
        coming = self._moments[place + 1] if place + 1 < len(self._moments) else here
        since, written = moment - self._taken, self._clock.rate * (coming.seconds - here.seconds)
        is_blow = here.is_rolled or (pitch in here.pitches and since < _LONG * written)
        if is_stroke and (pitch is None or here.has(pitch) or not here.pitches):
            self._fits += 1
            # One note may fit by chance: a key that sticks comes by its own pitch now and then.
            self._strays = self._strays if self.is_lost and self._fits < _FOUND else 0
        elif not (is_blow or since < _TOGETHER or pitch in coming.graces):
            self._fits = 0
            self._strays += 1

    def _settle(self) -> None:
        """A stroke that came far too soon was meant, for the player has gone on from it."""
        if self._odd is not None:
            place, moment = self._odd
            self._clock.heard(place, moment)
            self._odd = None

    def _take(self, place: int, moment: float) -> None:
        self._before, self._taken = self._clock.copied(), moment
        late, gap = moment - self._clock.expected(place), max(0.02, self._clock.gap(place))
        waited = self._waited(place)
        # Something was held: that happens once; who is as late again plays slower.
        was_late, self._was_late = self._was_late, late > max(_LATE, _LATE_SHARE * gap)
        if waited or (self._was_late and not was_late):
            self._clock.place(place, moment)
            self._bend(place, wholly=waited)
        elif late < -max(_SOON, _SOON_SHARE * gap):
            self._odd = place, moment
        else:
            self._watch(moment - self.time.when(self._moments[place].seconds))
            self._clock.heard(place, moment)
            self._bend(place)

    def _waited(self, place: int) -> bool:
        """Whether something was held, or the player rested, on the way to a moment."""
        passed = range(min(self.place + 1, place), place + 1)
        return any(
            self._moments[i].waits or (i and self._moments[i].seconds - self._moments[i - 1].seconds > _REST)
            for i in passed
        )

    def _watch(self, error: float) -> None:
        """Give less where errors change their sign from stroke to stroke, more again where they do not."""
        self._product = _MEMORY * self._product + error * self._last_error
        self._square = _MEMORY * self._square + error * error
        self._last_error = error
        if self._product / self._square < _TOO_ALIKE:
            self._share = max(_LEAST_GIVE, self._share * _BACK_OFF)
        else:
            self._share = min(1.0, self._share + _COME_BACK)

    def _bend(self, place: int, wholly: bool = False) -> None:
        """The others' map goes towards the player's time, by as much as they give."""
        if self._moments[place].leads:
            share = 1.0 if wholly else self.time.give * self._share
            self.time.is_led = True
            seconds = self._moments[self._clock.index].seconds
            self.time.towards(seconds, self._clock.moment, self._clock.rate, share)


def _next_waits(moments: tuple[LeaderMoment, ...]) -> list[int]:
    """For every moment the next one that everybody waits for; the number of moments where there is none."""
    waits, coming = [len(moments)] * len(moments), len(moments)
    for index in range(len(moments) - 1, -1, -1):
        waits[index] = coming
        if moments[index].waits:
            coming = index
    return waits

"""Where a player has gone who stopped and began again elsewhere: told by three or more moments in a row, by pitch.

Only a silence arms it, and never one that is written: at a hold or in a rest the player is silent because they play
what stands there.
"""

from score.following.leader_moments import LeaderMoment

_SILENCE, _SILENCE_GAPS = 1.2, 2.5
"""Seconds without a stroke, and how many times the gap that is written, before somebody may have gone elsewhere."""
_REST = 2.0
_MOMENTS, _MOST = 3, 8
"""Fewest moments that tell a place, and how many are waited for until one place alone has them all."""
_TOGETHER = 0.06
_NEAR = 5
"""Moments around the place where they are expected; that is no leap."""


class LeapFinder:
    """Looks for a leap after a silence.

    Args:
        moments: what the player strikes.
    """

    def __init__(self, moments: tuple[LeaderMoment, ...]) -> None:
        self._moments = moments
        self._heard: list[int] = []
        self._last = 0.0
        self._armed_at = -1

    def heard(self, moment: float, pitch: int | None, place: int, rate: float) -> int | None:
        """Where a player is who has leapt, index of the moment; None where they have not, or it cannot be told yet.

        Args:
            moment: of the stroke, real seconds.
            pitch: its MIDI number, None where it is not known.
            place: where they are expected, index of the moment.
            rate: real seconds a second of the timeline.
        """
        silent, self._last = moment - self._last, moment
        if pitch is None:
            return None
        if self._is_armed_by(silent, place, rate):
            self._armed_at, self._heard = place, []
        if self._armed_at < 0:
            return None
        if not self._heard or silent > _TOGETHER:
            self._heard.append(pitch)
        if len(self._heard) < _MOMENTS:
            return None
        if len(self._heard) > _MOST or self._fits(self._armed_at + 1):
            # Where they were expected after all; or lost for good: only a key helps.
            self._armed_at = -1
            return None
        return self._leap()

    def _is_armed_by(self, silent: float, place: int, rate: float) -> bool:
        if place < 0 or place + 1 >= len(self._moments):
            return False
        here, coming = self._moments[place], self._moments[place + 1]
        gap = coming.seconds - here.seconds
        if coming.waits or gap > _REST or here.is_rolled:
            return False
        return silent > max(_SILENCE, _SILENCE_GAPS * rate * gap)

    def _leap(self) -> int | None:
        """Index of the last moment heard, where one place has them all, or after eight the nearest that does."""
        count, near = len(self._heard), self._armed_at
        places = [first + count - 1 for first in range(len(self._moments) - count + 1) if self._fits(first)]
        if not places or (len(places) > 1 and count < _MOST):
            return None
        place = min(places, key=lambda place: abs(place - near))
        self._armed_at = -1
        return None if near - _NEAR <= place <= near + count + _NEAR else place

    def _fits(self, first: int) -> bool:
        coming = self._moments[first : first + len(self._heard)]
        return len(coming) == len(self._heard) and all(
            moment.has(pitch) for pitch, moment in zip(self._heard, coming, strict=True)
        )

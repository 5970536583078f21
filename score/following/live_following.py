"""Following as it happens: strokes from a port or keys, bends to whoever sounds."""

import threading
from typing import Protocol

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment
from score.playback.sounding.sound_messages import Bend


class Bending(Protocol):
    """Whoever sounds the others."""

    def bend(self, bend: Bend) -> None:
        """Go on in another time."""


class LiveFollowing:
    """Follows one player from pass to pass; strokes may come from any thread.

    Args:
        sound: told every bend.
        moments: what the player strikes.
        give: how far the others go with the player, 0 to 1.
    """

    def __init__(self, sound: Bending, moments: tuple[LeaderMoment, ...], give: float) -> None:
        self._sound, self._moments, self._give = sound, moments, give
        self._lock = threading.Lock()
        self._follower = Follower(moments, give)
        self._last = 0.0

    def struck(self, moment: float, pitch: int | None) -> None:
        """A stroke of the player's.

        Args:
            moment: when, of `time.perf_counter`.
            pitch: MIDI number, None where it is not known or means nothing.
        """
        with self._lock:
            # Two threads, or a clock that was set back: no stroke comes before the last one.
            self._last = max(self._last, moment)
            self._follower.heard(self._last, pitch if self._is_pitched else None)
            self._sound.bend(self._follower.bend())

    def begin(self, seconds: float = 0.0) -> None:
        """The next stroke is the first one from so many seconds into the timeline on: a new pass, or "from here"."""
        with self._lock:
            later = (i for i, moment in enumerate(self._moments) if moment.seconds >= seconds - 0.05)
            self._follower = Follower(self._moments, self._give, next(later, 0))

    def words(self, seconds: float) -> str:
        """How it stands at so many seconds into the timeline, for the player."""
        with self._lock:
            if self._follower.place < 0:
                return "listening"
            return "waiting for you" if seconds >= self._follower.bend().until - 0.02 else "with you"

    @property
    def _is_pitched(self) -> bool:
        return any(moment.pitches for moment in self._moments)

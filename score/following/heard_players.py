"""One or several players who are followed at once, each with their own place, on one map of time."""

from collections.abc import Mapping
from math import inf

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment
from score.following.played_time import USUAL_GIVE, PlayedTime
from score.playback.sounding.sound_messages import Bend

Parts = Mapping[int, tuple[LeaderMoment, ...]]
"""What each heard player strikes, by the player's number."""


class HeardPlayers:
    """Follows whoever leads.

    Args:
        parts: what they strike; whether they lead stands in every moment. Never empty, and no part empty.
        give: how far the others go with them, 0 to 1.
        start: seconds of the timeline from which on they play.
    """

    def __init__(self, parts: Parts, give: float = USUAL_GIVE, start: float = -inf) -> None:
        self.time = PlayedTime(give)
        self.followers = {
            player: Follower(moments, start=_first(moments, start), time=self.time) for player, moments in parts.items()
        }

    def heard(self, moment: float, pitch: int | None, player: int = 0) -> None:
        """A stroke of a player's.

        Args:
            moment: when, real seconds; not before the last one.
            pitch: MIDI number, None where it is not known.
            player: the player's number, 0 for the first; of somebody who is not followed nothing is taken.
        """
        follower = self.followers.get(player) if player else next(iter(self.followers.values()))
        if follower is not None:
            follower.heard(moment, pitch)

    def when(self, seconds: float) -> float:
        """When a second of the timeline falls; infinite while the others have to wait for a player."""
        return inf if seconds >= self.reach - 1e-9 else self.time.when(seconds)

    def bend(self) -> Bend:
        """The map, as the sound process takes it."""
        return self.time.bend(self.reach)

    @property
    def reach(self) -> float:
        """The second of the timeline at which the others wait; infinite where they do not."""
        return min(follower.reach for follower in self.followers.values())

    @property
    def is_heard(self) -> bool:
        """Whether anybody has played."""
        return any(follower.place >= 0 for follower in self.followers.values())

    @property
    def is_lost(self) -> bool:
        """Whether somebody who leads fits nowhere near."""
        return any(follower.is_lost for follower in self.followers.values())


def _first(moments: tuple[LeaderMoment, ...], start: float) -> int:
    """Index of the first moment from a second on; of the first of all where there is none."""
    return next((index for index, moment in enumerate(moments) if moment.seconds >= start - 0.05), 0)

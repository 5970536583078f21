"""When the timeline's seconds fall in real ones, as the others play them: one map, bent by whoever is followed."""

from math import inf

from score.playback.sounding.sound_messages import Bend

USUAL_GIVE = 0.75
"""How far the others go with a player: 0 keeps strict time, 1 goes wholly."""


class PlayedTime:
    """The map.

    Args:
        give: from 0 to 1.

    Attributes:
        give: from 0 to 1; may be changed while they play.
        seconds, moment: a second of the timeline and when it falls.
        rate: real seconds a second of the timeline from there on.
        is_known: whether anything has said where they are.
        is_led: whether a player has been heard.
    """

    def __init__(self, give: float = USUAL_GIVE) -> None:
        self.give = give
        self.seconds, self.moment, self.rate = 0.0, 0.0, 1.0
        self.is_known = self.is_led = False

    def when(self, seconds: float) -> float:
        """When a second of the timeline falls."""
        return self.moment + self.rate * (seconds - self.seconds)

    def passed(self, moment: float) -> float:
        """Which second of the timeline falls at a moment."""
        return self.seconds + (moment - self.moment) / self.rate

    def set(self, seconds: float, moment: float) -> None:
        """A second falls at a moment; the rate stays."""
        self.seconds, self.moment = seconds, moment
        self.is_known = True

    def towards(self, seconds: float, moment: float, rate: float, share: float) -> None:
        """Towards a player's time.

        Args:
            seconds: the player is there on the timeline.
            moment: when.
            rate: the player's.
            share: of the way to the moment; to the rate they go as far as they give.
        """
        if self.give:
            mine = self.when(seconds)
            self.seconds, self.moment = seconds, mine + share * (moment - mine)
            # A tempo is taken over more readily than a moment: what is left of the old one costs most in long notes.
            self.rate = 1 + (1 - (1 - self.give) ** 2) * (rate - 1)

    def bend(self, until: float = inf) -> Bend:
        """The map as the sound process takes it, silent from a second on."""
        return Bend(self.seconds, self.moment, self.rate, until=until)

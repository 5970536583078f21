"""When a player's moments are to be expected: the clock, in the time they usually take, bent as much as they do today.

Nobody plays twice alike, but who stretches a little more today does so all along: how much more is told by the rates
heard so far, against the usual ones (a regression that forgets, drawn towards no more and no less).
"""

import copy
import math
from typing import NamedTuple

from score.following.leader_clock import LeaderClock
from score.following.leader_moments import LeaderMoment

_FORGETTING = 90.0
"""Seconds after which what was heard counts about a third."""
_DOUBT = 0.15
"""Weight of no more and no less than usual, seconds times squared logarithms of rates. By simulation, no source."""
_MOST = 0.5
_LEAST, _ODD = 1.0, 0.3
"""Seconds from which on a rate is told, and how far off (logarithm) from what was expected it may be."""


class ReadingDepth(NamedTuple):
    """How much more, or less, of their usual bending a player does: sums over what was heard, by its length.

    Attributes:
        length: seconds.
        usual: logarithms of usual rates.
        today: logarithms of today's, of the usual time's seconds.
        squares: of the usual ones.
        products: of both.
    """

    length: float = 0.0
    usual: float = 0.0
    today: float = 0.0
    squares: float = 0.0
    products: float = 0.0

    @property
    def share(self) -> float:
        """What is to be added to the usual bending, as a share of it."""
        if not self.length:
            return 0.0
        spread = self.squares - self.usual**2 / self.length
        return min(_MOST, max(-_MOST, (self.products - self.usual * self.today / self.length) / (spread + _DOUBT)))

    def heard(self, length: float, usual: float, today: float) -> "ReadingDepth":
        """With so many more seconds, at these logarithms of rates."""
        new = (length, length * usual, length * today, length * usual * usual, length * usual * today)
        kept = math.exp(-length / _FORGETTING)
        return ReadingDepth(*(kept * before + more for before, more in zip(self, new, strict=True)))


class LeaderTime:
    """Expects a player's moments.

    Args:
        moments: what the player strikes, in their usual time.
        index: the first moment that was heard.
        moment: when.

    Attributes:
        index: the last moment that was heard.
    """

    def __init__(self, moments: tuple[LeaderMoment, ...], index: int, moment: float) -> None:
        self._moments, self.index = moments, index
        self._clock, self._depth = LeaderClock(0.0, moment), ReadingDepth()
        self._since = index, moment

    def copied(self) -> "LeaderTime":
        """The same, to come back to."""
        other = copy.copy(self)
        other._clock = copy.copy(self._clock)
        return other

    @property
    def moment(self) -> float:
        """When the last moment was meant."""
        return self._clock.moment

    @property
    def rate(self) -> float:
        """Real seconds a second of the timeline, from here to the next moment."""
        coming = min(self.index + 1, len(self._moments) - 1)
        written = self._moments[coming].seconds - self._moments[self.index].seconds
        return self._clock.rate * (self._ahead(coming) / written if written > 0 else 1.0)

    def gap(self, index: int) -> float:
        """Real seconds from the last moment to another, as they are expected."""
        return self._clock.rate * self._ahead(index)

    def expected(self, index: int) -> float:
        """When a moment is to be expected."""
        return self._clock.moment + self.gap(index)

    def place(self, index: int, moment: float) -> None:
        """A stroke that says where the player is, not how fast: after a hold or a rest."""
        self._clock.place(self._clock.seconds + self._ahead(index), moment)
        self.index = max(self.index, index)
        self._since = self.index, moment

    def heard(self, index: int, moment: float) -> None:
        """A moment was played."""
        self._clock.heard(self._clock.seconds + self._ahead(index), moment)
        self.index = max(self.index, index)
        start, began = self._since
        length = self._moments[self.index].seconds - self._moments[start].seconds
        if length < _LEAST:
            return
        steps = range(start + 1, self.index + 1)
        usual = sum(self._moments[step].usual * self._step(step) for step in steps) / length
        today = math.log(max(moment - began, 1e-3) / length)
        if abs(today - math.log(self._clock.rate) - self._depth.share * usual) < _ODD:
            self._depth = self._depth.heard(length, usual, today)
        self._since = self.index, moment

    def _step(self, index: int) -> float:
        """Seconds of the timeline from the moment before."""
        return self._moments[index].seconds - self._moments[index - 1].seconds

    def _ahead(self, index: int) -> float:
        """Seconds from the last moment to another, in the usual time bent as today."""
        share = self._depth.share
        return sum(
            self._step(step) * math.exp(share * self._moments[step].usual) for step in range(self.index + 1, index + 1)
        )

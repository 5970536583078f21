"""From exact quarters to seconds and back, in closed form.

The tempo is a chain of stretches over the written order. Inside a stretch of N quarters the speed runs
from v0 to v1 = w·v0 as v(x) = v0·(1 + (w^q − 1)·x)^(1/q), x from 0 to 1: q = 1 is linear in quarters,
q = 2 linear in time, q = 3 holds the tempo longer and lets go late, as ritardandi are played.
Source of the form: Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999). Its integral is closed:
t(x) = N/v0 · q/((q−1)(w^q−1)) · ((1 + (w^q−1)x)^((q−1)/q) − 1), and N/v0 · ln(w)/(w−1) at q = 1, x = 1.

Holds (fermatas, caesuras) add seconds at one place without moving on in the score.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple, Protocol

from score.beats import in_ticks

CHANGE_CURVE = 3.0
"""Exponent q of a written ritardando or accelerando: late and round, as they are played."""


class Stretch(NamedTuple):
    """A run of quarters over which the tempo is constant or follows one curve.

    Attributes:
        start, end: quarters from the beginning of the piece.
        v0, v1: speed at both ends, quarters a second.
        q: the curve's exponent, at least 1; without meaning when v0 equals v1.
    """

    start: Fraction
    end: Fraction
    v0: float
    v1: float
    q: float = CHANGE_CURVE

    def seconds(self, quarters: float) -> float:
        """Seconds from the stretch's start to so many quarters after it."""
        if self._is_level:
            return quarters / self.v0
        # expm1 and log1p keep full precision where the tempo hardly moves.
        grown = math.log1p(self._grow * quarters / self._total)
        if self.q == 1:
            return self._total / self.v0 * grown / self._grow
        power = (self.q - 1) / self.q
        return self._total / self.v0 * math.expm1(power * grown) / (power * self._grow)

    def quarters(self, seconds: float) -> float:
        """The inverse of `seconds`."""
        if self._is_level:
            return seconds * self.v0
        scaled = seconds * self.v0 / self._total * self._grow
        if self.q == 1:
            return self._total * math.expm1(scaled) / self._grow
        power = (self.q - 1) / self.q
        return self._total * math.expm1(math.log1p(scaled * power) / power) / self._grow

    def speed(self, quarters: float) -> float:
        """Quarters a second at so many quarters after the start."""
        if self._is_level:
            return self.v0
        return self.v0 * math.exp(math.log1p(self._grow * quarters / self._total) / self.q)

    def part(self, start: Fraction, end: Fraction) -> "Stretch":
        """The piece of it between two offsets inside it: of the same curve."""
        v0, v1 = (self.speed(float(offset - self.start)) for offset in (start, end))
        return Stretch(start, end, v0, v1=v1, q=self.q)

    def times(self, factor: float) -> "Stretch":
        """The same, so much faster."""
        return self._replace(v0=self.v0 * factor, v1=self.v1 * factor)

    def moved(self, by: Fraction) -> "Stretch":
        """The same so many quarters later."""
        return self._replace(start=self.start + by, end=self.end + by)

    @property
    def _total(self) -> float:
        return float(self.end - self.start)

    @property
    def _grow(self) -> float:
        return math.expm1(self.q * math.log(self.v1 / self.v0))

    @property
    def _is_level(self) -> bool:
        return math.isclose(self.v0, self.v1, rel_tol=1e-12) or self.end == self.start


class Timed(Protocol):
    """A run of quarters whose seconds are known: a `Stretch`, or several curves over one another."""

    @property
    def start(self) -> Fraction:
        """Quarters from the beginning."""

    @property
    def end(self) -> Fraction:
        """Quarters from the beginning."""

    def seconds(self, quarters: float) -> float:
        """Seconds from the start to so many quarters after it."""

    def quarters(self, seconds: float) -> float:
        """The inverse of `seconds`."""

    def speed(self, quarters: float) -> float:
        """Quarters a second at so many quarters after the start."""

    def moved(self, by: Fraction) -> "Timed":
        """The same so many quarters later."""


class Hold(NamedTuple):
    """A place where the music stands still.

    Attributes:
        offset: quarters from the beginning.
        seconds: spent there before going on.
        before: a wait before what begins there, from wherever it is reached; else what ends there is held, wherever it
            goes on.
    """

    offset: Fraction
    seconds: float
    before: bool = False


class TempoMap:
    """Seconds of any place of a piece in written order.

    Args:
        stretches: without gaps, in order, the first starting at 0.
        holds: in order of their offsets, at most one an offset.
    """

    def __init__(self, stretches: Sequence[Timed], holds: Sequence[Hold] = ()) -> None:
        self.stretches, self.holds = tuple(stretches), tuple(holds)
        places = [*(stretch.start for stretch in self.stretches), *(hold.offset for hold in self.holds)]
        self._quarter = math.lcm(*(place.denominator for place in places))
        ticks = [in_ticks(place, self._quarter) for place in places]
        self._starts, self._hold_offsets = ticks[: len(self.stretches)], ticks[len(self.stretches) :]
        self._base = [0.0]
        for stretch in self.stretches[:-1]:
            self._base.append(self._base[-1] + stretch.seconds(float(stretch.end - stretch.start)))
        self._held = [0.0]
        for hold in self.holds:
            self._held.append(self._held[-1] + hold.seconds)

    def seconds(self, offset: Fraction) -> float:
        """Seconds from the beginning to an offset in quarters; a hold at the offset is over."""
        return self._moving(offset) + self._held[bisect_right(self._hold_offsets, in_ticks(offset, self._quarter))]

    def quarters(self, seconds: float) -> float:
        """The offset in quarters reached after so many seconds; stands still during a hold."""
        index = self._holds_begun(seconds)
        moving = seconds - self._held[index]
        if index and moving < self._moving(self.holds[index - 1].offset):
            return float(self.holds[index - 1].offset)
        place = max(0, bisect_right(self._base, moving) - 1)
        stretch = self.stretches[place]
        return float(stretch.start) + stretch.quarters(moving - self._base[place])

    def quarters_per_minute(self, offset: Fraction) -> float:
        """The tempo at an offset, quarters a minute."""
        stretch = self.stretches[self._stretch_at(offset)]
        return 60 * stretch.speed(float(offset - stretch.start))

    def _moving(self, offset: Fraction) -> float:
        index = self._stretch_at(offset)
        # As a quotient of whole numbers the distance is as exact as in fractions, in a third of the time.
        whole, parts = offset.numerator * self._quarter, offset.denominator
        after = (whole - self._starts[index] * parts) / (self._quarter * parts)
        return self._base[index] + self.stretches[index].seconds(after)

    def _stretch_at(self, offset: Fraction) -> int:
        return max(0, bisect_right(self._starts, in_ticks(offset, self._quarter)) - 1)

    def _holds_begun(self, seconds: float) -> int:
        begun = 0
        for index, hold in enumerate(self.holds):
            if self._moving(hold.offset) + self._held[index] > seconds:
                break
            begun = index + 1
        return begun

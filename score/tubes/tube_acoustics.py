"""The air column of a round tube: end corrections, wall losses, length to pitch and back.

An open tube sounds f = v/(2(L+2δ)), one stopped at one end f = v/(4(L+δ)); δ is the end correction of an
open end, v the speed of sound in the tube, a little less than in free air.
"""

import math
from dataclasses import dataclass

from score.errors import RequestError
from score.tubes.air import Air

HIGHEST_KA = 1.5
"""The end correction is known up to this wave number times bore radius."""

_DEEPEST = 300.0
"""The deepest gap a cap may leave, mm."""

_WIDEST = 1.15
"""Inside of the widest cap that still holds on the pipe, outside diameters of it. Our guess."""

_LOSS = 1.615e-3


def unflanged_end(ka: float) -> float:
    """δ/a of an open end with a thin wall.

    Args:
        ka: wave number times bore radius, below 1.5.

    Source: Dalmont & Nederveen, J. Sound Vib. 244 (2001), a fit to Levine & Schwinger (1948).
    """
    return 0.6133 * ((1 + 0.044 * ka**2) / (1 + 0.19 * ka**2) - 0.02 * math.sin(2 * ka) ** 2)


def flanged_end(ka: float) -> float:
    """δ/a of an open end in an infinite plate.

    Source: Norris & Sheng, J. Sound Vib. 135 (1989).
    """
    return 0.8216 / (1 + (0.77 * ka) ** 2 / (1 + 0.77 * ka))


def thick_end(ka: float, ratio: float) -> float:
    """δ/a of an open end with a thick wall.

    Args:
        ka: wave number times bore radius.
        ratio: bore over outside diameter, 0 to 1.

    Source: Dalmont & Nederveen (2001), from memory.
    """
    thin, plate = unflanged_end(ka), flanged_end(ka)
    return plate + ratio * (thin - plate) + 0.057 * ratio * (1 - ratio**5)


@dataclass(frozen=True, slots=True)
class Pipe:
    """A round pipe.

    Attributes:
        inside, outside: diameters, mm.
        name: how the builder calls it.

    Raises:
        RequestError: the diameters cannot be those of a pipe.
    """

    inside: float
    outside: float
    name: str = ""

    def __post_init__(self) -> None:
        if not 5 <= self.inside < self.outside <= 400:
            what = f"inside {self.inside:g} mm, outside {self.outside:g} mm"
            raise RequestError("Pipe", what, "give the inside diameter first, smaller than the outside, from 5 mm on")

    @property
    def radius(self) -> float:
        """Radius of the bore, mm."""
        return self.inside / 2


@dataclass(frozen=True, slots=True)
class Column:
    """The air column that sounds: the pipe and how its far end is closed.

    Attributes:
        pipe: the pipe.
        capped: stopped at one end; False for a tube open at both ends.
        gap: depth of air between the tube's end and the floor of its cap, mm.
        gap_inside: inside diameter of the cap there, mm; 0 for the bore of the pipe.

    Raises:
        RequestError: a cap that does not go over the pipe, or is deeper than any.
    """

    pipe: Pipe
    capped: bool = True
    gap: float = 0.0
    gap_inside: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.gap <= _DEEPEST:
            what = f"{self.gap:g} mm of air between the tube's end and its cap"
            raise RequestError("Cap", what, f"measure the gap: 0 to {_DEEPEST:g} mm")
        widest = _WIDEST * self.pipe.outside
        if self.gap_inside and not self.pipe.inside - 0.01 <= self.gap_inside <= widest:
            what = f"inside {self.gap_inside:g} mm on a pipe of {self.pipe.inside:.1f} mm inside"
            most = f"from the pipe's inside to a little over its outside, {self.pipe.inside:.1f} to {widest:.1f} mm"
            raise RequestError("Cap", what, f"give the inside of a cap that fits: {most}")

    @property
    def part(self) -> int:
        """Which part of a wavelength the tube holds: 4 stopped, 2 open."""
        return 4 if self.capped else 2

    @property
    def open_ends(self) -> int:
        """1 stopped, 2 open."""
        return 1 if self.capped else 2

    @property
    def gap_length(self) -> float:
        """Length of bore that holds as much air as the gap in the cap, mm."""
        inside = self.gap_inside or self.pipe.inside
        return self.gap * (inside / self.pipe.inside) ** 2 if self.capped else 0.0

    def end(self, frequency: float, speed: float, losses: bool = False) -> float:
        """What the ends add to the length, mm: open ends and the gap in the cap.

        With losses, an open end counts as the shorter length of slowed air in the tube that it is worth.
        """
        ka = 2 * math.pi * frequency / speed * self.pipe.radius / 1000
        ends = self.open_ends * self.pipe.radius * thick_end(ka, self.pipe.inside / self.pipe.outside)
        slowing = wall_slowing(self.pipe.radius, frequency) if losses else 1.0
        return ends * slowing + self.gap_length

    @property
    def long_end(self) -> float:
        """`end` at low frequency, mm."""
        return self.end(0.0, 343.0)

    def wave(self, frequency: float, air: Air, losses: bool = True) -> float:
        """Effective length that sounds a frequency, mm: v/(4f) stopped, v/(2f) open."""
        slowing = wall_slowing(self.pipe.radius, frequency) if losses else 1.0
        return 1000 * air.speed * slowing / (self.part * frequency)

    def length(self, frequency: float, air: Air, losses: bool = True) -> float:
        """Length of the tube that sounds a frequency, mm, by physics alone."""
        return self.wave(frequency, air, losses) - self.end(frequency, air.speed, losses)

    def check(self, frequency: float, name: str) -> None:
        """Refuse a pitch at which the column is no longer a narrow tube.

        Raises:
            RequestError: above ka = 1.5, or a tube no longer than its end correction.
        """
        ka = 2 * math.pi * frequency / 343 * self.pipe.radius / 1000
        if ka >= HIGHEST_KA or self.length(frequency, Air()) < self.pipe.radius:
            what = f"{name} ({frequency:.0f} Hz) is too high for a bore of {self.pipe.inside:.0f} mm"
            raise RequestError("Too high for this pipe", what, "choose a narrower pipe or a lower note")


def wall_slowing(radius: float, frequency: float) -> float:
    """How much the walls slow sound in a tube: v/c.

    Args:
        radius: of the bore, mm.
        frequency: hertz.

    Source: Kirchhoff's law for viscous and thermal layers much thinner than the bore (as in Keefe, J. Acoust. Soc.
    Am. 75, 1984): v/c = 1/(1 + 1.0435/r), r = a√(2πfρ/η), at 20 °C. Fletcher & Rossing's 1 - 1.65e-3/(a√f), a in
    metres, is the same within 0.4 cents in a tube of 40 mm bore.
    """
    return 1 / (1 + _LOSS / (radius / 1000 * math.sqrt(frequency)))


def sounding(column: Column, length: float, air: Air, losses: bool = True) -> float:
    """Frequency of a tube, hertz, by physics alone.

    Args:
        column: the air column.
        length: of the tube, mm.
        air: the air in it.
        losses: whether the walls slow the sound.
    """
    frequency = 1000 * air.speed / (column.part * (length + column.long_end))
    for _ in range(50):
        slowing = wall_slowing(column.pipe.radius, frequency) if losses else 1.0
        effective = length + column.end(frequency, air.speed, losses)
        better = 1000 * air.speed * slowing / (column.part * effective)
        if abs(better - frequency) < 1e-12 * better:
            break
        frequency = better
    return better


def mm_per_cent(effective: float) -> float:
    """How much of a tube is a cent, mm: effective length · ln 2 / 1200."""
    return effective * math.log(2) / 1200


BAR_NODE = 0.2242
"""Where a uniform free bar stands still, as a part of its length from each end (textbook value)."""


def wall_nodes(length: float) -> tuple[float, float]:
    """Where the tube's own wall, ringing as a free bar, stands still: mm from its playing end.

    A heavy cap moves the lower one towards the cap.
    """
    return BAR_NODE * length, (1 - BAR_NODE) * length


def air_node(column: Column, length: float) -> float:
    """Where the air stands still: mm from the playing end; the cap of a stopped tube, the middle of an open one."""
    return length if column.capped else length / 2

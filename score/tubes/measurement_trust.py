"""How far physics alone can be trusted, and what a measured tube may therefore sound.

Pipe that was cut too short cannot be made longer, so a measurement that physics contradicts is not followed:

- nearer than `WARN` cents, or than two standard deviations of physics where that is more, it is believed;
- from there on it is followed with a warning, and half its distance is added, as one more standard deviation, to
  what the lengths are said to be sure to: what physics expects then lies within twice the uncertainty shown;
- beyond `REFUSE` cents and two standard deviations of physics it is refused.
"""

from math import hypot, log, sqrt

from score.tubes.air import Air
from score.tubes.tube_acoustics import Column, sounding
from score.tubes.tube_pitch import cents

SCALE_SPREAD = 0.003
"""Standard deviation of s by physics alone, about 5 cents: smoothness of the wall, thermometer. Our estimate."""

END_SPREAD = 0.05
"""Standard deviation of an open end's correction by physics alone, bore radii. Our estimate."""

CAP_SPREAD = 1.0
"""Standard deviation of how deep a cap sits, mm. Our estimate."""

WARN, REFUSE = 15.0, 40.0
"""Cents from physics at which a measured tube is doubted, and refused. Our choice: 40 cents are 2.3 % of a length,
14 °C of the air or 14 mm of a C3, which no careless reading explains and a wrong note, cap or unit does."""

CHECK = "check length, note, octave, cap and its gap, and temperature"
"""What a builder should look at, most often wrong first."""

_SURE = 2.0
"""Standard deviations of physics that are allowed for."""


def end_variance(column: Column) -> float:
    """Variance of what the ends add by physics alone, mm²."""
    ends = column.open_ends * (END_SPREAD * column.pipe.radius) ** 2
    return ends + CAP_SPREAD**2 * column.capped


def physics_cents(column: Column, length: float) -> float:
    """Standard deviation of the pitch that physics alone expects of a tube, cents."""
    effective = length + column.long_end
    return 1200 / log(2) * hypot(SCALE_SPREAD, sqrt(end_variance(column)) / effective)


def off_physics(column: Column, length: float, frequency: float, air: Air, losses: bool = True) -> float:
    """How far a tube sounds from what physics alone expects, cents; above 0 it sounds higher."""
    return cents(sounding(column, length, air, losses), frequency)


def doubtful(column: Column, length: float, off: float) -> bool:
    """Whether a tube so many cents off deserves a warning."""
    return abs(off) >= max(WARN, _SURE * physics_cents(column, length))


def impossible(column: Column, length: float, off: float) -> bool:
    """Whether no tube of this length can be so many cents off."""
    return abs(off) > REFUSE + _SURE * physics_cents(column, length)

"""What measured tubes teach about the ones to be cut: length against wavelength, with its covariance.

The length of a tube is a straight line over its wave: L = s·x - d, where x is what physics alone expects of
the wave (c/(4f) stopped, slowed by the walls), s how far the real tube departs from it and d what the ends add.
Without a tube s and d are those of physics with an estimated spread; one tube gives s and leaves d to physics;
two of different length or more give both, by weighted least squares.

The covariance is that of least squares, wider where the tubes disagree: where three or more lie further from their
line than three times what they were measured to, by how much further (the Birge ratio); and where they are far from
physics, as `trust` says.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import log, sqrt

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measured_tubes import Measured
from score.tubes.measurement_trust import SCALE_SPREAD, doubtful, end_variance, off_physics
from score.tubes.tube_acoustics import Column

_ALIKE = 1.05
"""Tubes whose waves differ by less do not tell s from d."""

_UNLIKE = 9.0
"""Square of how much further than measured tubes lie from their line when that is no chance any more."""


@dataclass(frozen=True, slots=True)
class Errors:
    """How well a builder measures: one standard deviation each.

    Attributes:
        length: of a measured length, mm.
        pitch: of a measured pitch, cents.

    Raises:
        RequestError: nobody measures so well or so badly.
    """

    length: float = 0.5
    pitch: float = 2.0

    def __post_init__(self) -> None:
        if not 0.01 <= self.length <= 20:
            raise RequestError("Length error", f"{self.length:g} mm is outside 0.01 to 20", "0.5 mm is usual")
        if not 0.01 <= self.pitch <= 100:
            raise RequestError("Pitch error", f"{self.pitch:g} cents is outside 0.01 to 100", "2 cents is usual")


@dataclass(frozen=True, slots=True)
class Fit:
    """The line L = scale·x - end with what is known of its accuracy.

    Attributes:
        column: the air column the line holds for.
        scale: s, without unit.
        end: d at low frequency, mm.
        covariance: variance of s; covariance of s and d, mm; variance of d, mm².
        used: the measured tubes it rests on.
        losses: whether the walls' slowing is in x.
    """

    column: Column
    scale: float
    end: float
    covariance: tuple[float, float, float]
    used: tuple[Measured, ...] = ()
    losses: bool = True

    def length(self, frequency: float, air: Air) -> float:
        """Length that sounds a frequency in this air, mm."""
        return self.scale * wave(self.column, frequency, air, self.losses) - self.end

    def spread(self, frequency: float, air: Air) -> float:
        """Standard deviation of `length`, mm."""
        return _spread(self.covariance, wave(self.column, frequency, air, self.losses))

    def spread_cents(self, frequency: float, air: Air) -> float:
        """Standard deviation of the pitch of a tube cut to `length`, cents."""
        return 1200 / log(2) * self.spread(frequency, air) / self.effective(frequency, air)

    def effective(self, frequency: float, air: Air) -> float:
        """Length with what the ends add, mm."""
        return self.length(frequency, air) + self.end

    def frequency(self, length: float, air: Air) -> float:
        """What a tube of this length sounds, hertz."""
        hertz = 1000 * air.speed * self.scale / (self.column.part * (length + self.end))
        for _ in range(60):
            better = hertz * self.effective(hertz, air) / (length + self.end)
            if abs(better - hertz) < 1e-12 * hertz:
                break
            hertz = better
        return better


def wave(column: Column, frequency: float, air: Air, losses: bool = True) -> float:
    """x: the wave's part that physics expects, mm, less what the ends add less at high frequency."""
    return column.wave(frequency, air, losses) - (column.end(frequency, air.speed, losses) - column.long_end)


def fit_tubes(column: Column, measured: Iterable[Measured], errors: Errors = Errors(), losses: bool = True) -> Fit:
    """The line for a column from the tubes measured on it.

    Args:
        column: what is to be built.
        measured: tubes of any pipe and cap; those of the same pipe and cap are used. When there are none of
            these but some of the same pipe with the cap the other way, they give s and physics gives d.
        errors: how well they were measured.
        losses: whether the walls slow the sound.
    """
    tubes = tuple(measured)
    same = tuple(tube for tube in tubes if tube.column == column)
    if not same:
        other = [tube for tube in tubes if tube.column.pipe == column.pipe and tube.column.capped != column.capped]
        if other:
            return _carried(column, _fit(other[0].column, tuple(other), errors, losses))
    return _fit(column, same, errors, losses)


def variance(tube: Measured, errors: Errors) -> float:
    """Variance of a measured tube's length against its pitch, mm²."""
    effective = tube.length + tube.column.long_end
    return errors.length**2 + (effective * log(2) / 1200 * errors.pitch) ** 2


def spread_after(fit: Fit, length: float, air: Air, errors: Errors) -> Fit:
    """The fit as it would be if a tube of this length were measured too (its s and d unchanged)."""
    frequency = fit.frequency(length, air)
    tube = Measured(length, frequency, fit.column, air=air)
    same = [used for used in fit.used if used.column == fit.column]
    return replace(_fit(fit.column, (*same, tube), errors, fit.losses), scale=fit.scale, end=fit.end)


def _fit(column: Column, tubes: Sequence[Measured], errors: Errors, losses: bool) -> Fit:
    rows = [(wave(column, t.frequency, t.air, losses), -1.0, t.length, variance(t, errors)) for t in tubes]
    waves = [row[0] for row in rows]
    if not rows:
        rows.append((1.0, 0.0, 1.0, SCALE_SPREAD**2))
    if not waves or max(waves) < _ALIKE * min(waves):
        rows.append((0.0, 1.0, column.long_end, end_variance(column)))
    scale, end, covariance = _least_squares(rows)
    return _widened(Fit(column, scale, end, covariance=covariance, used=tuple(tubes), losses=losses), errors)


def _widened(fit: Fit, errors: Errors) -> Fit:
    """The fit with the uncertainty that disagreeing tubes deserve; its line stays."""
    many, (ss, sd, dd) = len(fit.used), fit.covariance
    if many > 2:
        apart = sum((t.length - fit.length(t.frequency, t.air)) ** 2 / variance(t, errors) for t in fit.used)
        ratio = apart / (many - 2)
        ss, sd, dd = (part * (ratio if ratio > _UNLIKE else 1.0) for part in fit.covariance)
    offs = [off_physics(t.column, t.length, t.frequency, t.air, fit.losses) for t in fit.used]
    doubted = [off for off, t in zip(offs, fit.used, strict=True) if doubtful(t.column, t.length, off)]
    ss += sum((2 ** (abs(off) / 1200) - 1) ** 2 for off in doubted) / 4 / max(1, many)
    return replace(fit, covariance=(ss, sd, dd))


def _least_squares(
    rows: Iterable[tuple[float, float, float, float]],
) -> tuple[float, float, tuple[float, float, float]]:
    """Weighted least squares of y = p·s + q·d over rows (p, q, y, variance)."""
    aa = ab = bb = ay = by = 0.0
    for p, q, y, var in rows:
        aa, ab, bb = aa + p * p / var, ab + p * q / var, bb + q * q / var
        ay, by = ay + p * y / var, by + q * y / var
    det = aa * bb - ab * ab
    return (bb * ay - ab * by) / det, (aa * by - ab * ay) / det, (bb / det, -ab / det, aa / det)


def _carried(column: Column, fit: Fit) -> Fit:
    """S from tubes with the cap the other way, d from physics."""
    covariance = (fit.covariance[0], 0.0, end_variance(column))
    return Fit(column, fit.scale, column.long_end, covariance=covariance, used=fit.used, losses=fit.losses)


def _spread(covariance: tuple[float, float, float], x: float) -> float:
    ss, sd, dd = covariance
    return sqrt(max(0.0, x * x * ss + dd - 2 * x * sd))

"""What does not agree: measured tubes with each other or with physics, caps, the measured range."""

from collections.abc import Sequence
from math import sqrt

from score.tubes.measured_tubes import Measured, odd_pitch
from score.tubes.measurement_trust import SCALE_SPREAD, end_variance
from score.tubes.tube_acoustics import Column
from score.tubes.tube_fit import Errors, Fit, fit_tubes, variance
from score.tubes.tube_pitch import cents

_FAR = 3.0
"""Standard deviations beyond which a departure is worth a word."""

_BEYOND = 100.0
"""Cents outside the measured range that need no word."""


def disagreements(fit: Fit, measured: Sequence[Measured], errors: Errors) -> tuple[str, ...]:
    """What a builder should look at before trusting the fit, one line each."""
    lines = [*_caps(fit.column, measured), *_odd(fit, measured)]
    if fit.used and fit.used[0].column == fit.column:
        lines.extend(_outliers(fit, errors) if len(fit.used) > 2 else ())
        lines.extend(_departs(fit) if len(fit.used) > 1 else ())
    return tuple(lines)


def outside(fit: Fit, frequency: float) -> bool:
    """Whether a pitch lies more than a semitone outside what was measured; False when nothing was."""
    if not fit.used:
        return False
    low, high = min(t.frequency for t in fit.used), max(t.frequency for t in fit.used)
    return cents(frequency, low) > _BEYOND or cents(high, frequency) > _BEYOND


def _caps(column: Column, measured: Sequence[Measured]) -> list[str]:
    lines = []
    other = [tube for tube in measured if tube.column.capped != column.capped]
    if other:
        how = "with the cap on" if column.capped else "open"
        use = "are not used" if any(t.column == column for t in measured) else "give only the speed of sound"
        lines.append(
            f"Caps differ: {_names(other)} measured the other way than these tubes are played ({how}); they {use}. "
            "Measure with the cap that will be played."
        )
    pipes = [tube for tube in measured if tube.column.pipe != column.pipe]
    if pipes:
        lines.append(f"Another pipe: {_names(pipes)} not used, measured on another pipe than the one to be cut.")
    return lines


def _odd(fit: Fit, measured: Sequence[Measured]) -> list[str]:
    lines = []
    for tube in measured:
        off, wider = odd_pitch(tube), ""
        if tube in fit.used:
            wider = " It widens the uncertainty until it is settled."
        if off:
            said = f"{tube.text or tube.length}: {off:+.0f} cents from what physics expects"
            lines.append(f"{said}; check length, inside diameter, cap and its gap, and thermometer.{wider}")
    return lines


def _outliers(fit: Fit, errors: Errors) -> list[str]:
    """The tube the others disagree with most, judged by a fit without it."""
    worst, score = None, _FAR
    for index, tube in enumerate(fit.used):
        others = fit_tubes(fit.column, (*fit.used[:index], *fit.used[index + 1 :]), errors, fit.losses)
        off = tube.length - others.length(tube.frequency, tube.air)
        spread = sqrt(variance(tube, errors) + others.spread(tube.frequency, tube.air) ** 2)
        if abs(off) / spread > score:
            worst, score = tube, abs(off) / spread
    if worst is None:
        return []
    off = cents(fit.frequency(worst.length, worst.air), worst.frequency)
    return [
        f"Measured tubes disagree: {_names([worst])} lies {score:.1f} standard deviations from the others "
        f"({off:+.1f} cents from the fit); measure it again, with its cap seated as the others' are."
    ]


def _departs(fit: Fit) -> list[str]:
    """A fitted line far from physics: a measurement is wrong though the tubes may agree."""
    column, (ss, _, dd) = fit.column, fit.covariance
    slope, end = fit.scale - 1, fit.end - column.long_end
    if abs(slope) <= _FAR * sqrt(ss + (2 * SCALE_SPREAD) ** 2) and abs(end) <= _FAR * sqrt(
        dd + 4 * end_variance(column)
    ):
        return []
    return [
        f"Measured tubes and physics disagree: the fit wants a speed of sound {100 * slope:+.1f} % and an end "
        f"correction of {fit.end:.1f} mm where {column.long_end:.1f} is usual; check lengths, caps and temperatures."
    ]


def _names(tubes: Sequence[Measured]) -> str:
    return ", ".join(f'"{tube.text}"' if tube.text else f"{tube.length:.1f} mm" for tube in tubes)

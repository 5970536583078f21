"""Figures on timing against published models of players, by simulation.

Wing & Kristofferson (1973): an interval is a timekeeper's plus the difference of two motor delays, so that neighbouring
intervals correlate between -1/2 and 0. Vorberg & Schulze (2002): the next asynchrony is (1 - a) times the last, and
timekeeper and motor noise; its variance at equilibrium is that of an autoregression of first order with such noise.
"""

import numpy as np
import pytest

from score.strokes.timing_figures import lag_one, mean_figure, slope_figure, spread, widened

TIMEKEEPER, MOTOR = 12.0, 6.0


def asynchronies(rng: np.random.Generator, strokes: int, correction: float, mean: float = 0.0) -> list[float]:
    """Of a player who corrects a share of each asynchrony (Vorberg & Schulze, 2002), long since begun."""
    clock = TIMEKEEPER * rng.standard_normal(strokes + 60)
    motor = MOTOR * rng.standard_normal(strokes + 61)
    offsets = [0.0]
    for k in range(strokes + 59):
        offsets.append((1 - correction) * offsets[-1] + clock[k] + motor[k + 1] - motor[k])
    return [mean + offset for offset in offsets[-strokes:]]


@pytest.mark.parametrize("strokes", [30, 100])
def test_intervals_cover_the_mean_of_a_player_who_corrects(strokes: int) -> None:
    rng = np.random.default_rng(120)
    figures = [mean_figure(asynchronies(rng, strokes, 0.5, -8.0)) for _ in range(600)]
    covers = np.mean([low <= -8.0 <= high for low, high in (figure.interval for figure in figures)])
    assert covers >= 0.85
    # An interval that always covers says nothing: it stays under twice what the true correlation asks for.
    assert np.mean([figure.half for figure in figures]) < 2 * 1.96 * 21 / np.sqrt(strokes)


def test_plain_intervals_would_lie() -> None:
    rng = np.random.default_rng(121)
    runs = [asynchronies(rng, 50, 0.5) for _ in range(400)]
    plain = np.mean([abs(np.mean(run)) <= 1.96 * np.std(run, ddof=1) / np.sqrt(50) for run in runs])
    ours = np.mean([abs(mean_figure(run).mean) <= mean_figure(run).half for run in runs])
    assert plain < 0.82 < ours


def test_variance_and_lag_are_those_of_the_model() -> None:
    rng = np.random.default_rng(122)
    run = asynchronies(rng, 20_000, 0.5)
    a = 0.5
    # e(n+1) = (1-a) e(n) + C + M' - M with the motor delay of e(n) in it: Vorberg & Schulze (2002), stationary.
    motor = MOTOR**2
    variance = (TIMEKEEPER**2 + 2 * motor - 2 * (1 - a) * motor) / (1 - (1 - a) ** 2)
    covariance = (1 - a) * variance - motor
    assert spread(run) ** 2 == pytest.approx(variance, rel=0.05)
    assert lag_one(run) == pytest.approx(covariance / variance, abs=0.03)


def test_intervals_of_a_free_player_correlate_as_wing_and_kristofferson_say() -> None:
    rng = np.random.default_rng(123)
    motor = MOTOR * rng.standard_normal(20_001)
    intervals = 500 + TIMEKEEPER * rng.standard_normal(20_000) + np.diff(motor)
    expected = -(MOTOR**2) / (TIMEKEEPER**2 + 2 * MOTOR**2)
    assert lag_one([float(x) for x in intervals]) == pytest.approx(expected, abs=0.03)


def test_few_passes_are_as_sure_as_student_allows() -> None:
    # Student's 97.5 % points for 2, 4 and 9 degrees of freedom: 4.303, 2.776, 2.262 (Fisher & Yates' table).
    for count, point in ((3, 4.303), (5, 2.776), (10, 2.262)):
        values = [float(k) for k in range(count)]
        assert widened(values).half == pytest.approx(point * spread(values) / np.sqrt(count), rel=0.02)


def test_a_slope_is_found_with_its_interval() -> None:
    rng = np.random.default_rng(124)
    inside = 0
    for _ in range(300):
        places = np.arange(40) * 0.25
        figure = slope_figure(list(places), list(2.0 * places + 10 * rng.standard_normal(40)))
        inside += abs(figure.mean - 2.0) <= figure.half
    assert inside >= 0.85 * 300

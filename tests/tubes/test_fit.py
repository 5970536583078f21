"""The fit against worked examples, exact tubes and simulated builders."""

from dataclasses import replace

import numpy as np
import pytest

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measured_tubes import Measured, read_measured
from score.tubes.tube_acoustics import Column, sounding
from score.tubes.tube_fit import Errors, fit_tubes, spread_after
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tube_pitch import cents
from score.tubes.wanted_notes import wanted_notes


def tube(column, length, frequency, air=None):
    return Measured(length, frequency, column, air=air or Air())


def test_two_points(thin):
    # L = (c/4)(1/f) - d through (1.2 m, 70.559 Hz) and (0.3 m, 271.519 Hz): 343.2 m/s and 16.0 mm.
    # The product takes the fall of the end correction with ka out first: 0.06 mm and 0.05 m/s here.
    fit = fit_tubes(thin, [tube(thin, 1200, 70.559), tube(thin, 300, 271.519)], losses=False)
    assert fit.scale * Air().speed == pytest.approx(343.2, abs=0.1)
    assert fit.end == pytest.approx(16.0, abs=0.1)
    for length, frequency in ((1200, 70.559), (300, 271.519)):
        assert fit.length(frequency, Air()) == pytest.approx(length, abs=1e-9)


def test_one_tube_with_a_known_end(thin):
    # L2 = (L1+D)·f1/f2 - D.
    fit = fit_tubes(thin, [tube(thin, 1200, 70.0)], losses=False)
    end = thin.long_end
    for frequency in (60.0, 80.0, 140.0):
        plain = (1200 + end) * 70.0 / frequency - end
        assert fit.length(frequency, Air()) == pytest.approx(plain, abs=0.15)


def test_no_tube_is_physics(stopped):
    fit = fit_tubes(stopped, [])
    for frequency in (100.0, 300.0):
        assert fit.length(frequency, Air()) == pytest.approx(stopped.length(frequency, Air()), abs=1e-9)
        assert fit.spread_cents(frequency, Air()) > 3


@pytest.mark.parametrize(
    ("pair", "target", "expected"), [((1200, 300), 600, 1.8), ((1200, 300), 300, 3.4), ((600, 500), 300, 15.8)]
)
def test_spread_of_a_pair(pair, target, expected, thin):
    # σ_L² = σ_s²x² + σ_d² - 2x·cov, with 0.5 mm and 2 cents: computed from the formula of weighted least squares;
    # the last lies far outside the pair and moves by 1 % with the end correction taken (here 16.0 mm).
    tubes = [tube(thin, length, sounding(thin, length, Air(), losses=False)) for length in pair]
    fit = fit_tubes(thin, tubes, losses=False)
    frequency = sounding(thin, target, Air(), losses=False)
    assert fit.spread_cents(frequency, Air()) == pytest.approx(expected, abs=0.06, rel=0.01)


def test_against_numpy(stopped):
    # The same line from numpy's least squares on whitened rows.
    rng = np.random.default_rng(4)
    lengths = np.array([250.0, 400, 640, 900, 1300])
    found = np.array([sounding(stopped, x, Air()) for x in lengths]) * 2 ** (rng.normal(0, 3, 5) / 1200)
    tubes = [tube(stopped, x, f) for x, f in zip(lengths, found, strict=True)]
    fit = fit_tubes(stopped, tubes)
    end = np.array([stopped.end(f, Air().speed, losses=True) - stopped.long_end for f in found])
    x = np.array([stopped.wave(f, Air()) for f in found]) - end
    sigma = np.hypot(0.5, (lengths + stopped.long_end) * np.log(2) / 1200 * 2)
    rows = np.column_stack([x, -np.ones(5)]) / sigma[:, None]
    (scale, d), *_ = np.linalg.lstsq(rows, lengths / sigma, rcond=None)
    covariance = np.linalg.inv(rows.T @ rows)
    assert (fit.scale, fit.end) == pytest.approx((scale, d), rel=1e-9)
    assert fit.covariance == pytest.approx((covariance[0, 0], covariance[0, 1], covariance[1, 1]), rel=1e-6)


@pytest.mark.parametrize("lengths", [(1200.0, 300.0), (1000.0, 640.0, 300.0), (900.0,)])
def test_monte_carlo(lengths, stopped):
    """Builders who measure with 0.5 mm and 2 cents end up as far off as is stated."""
    rng, errors = np.random.default_rng(7), Errors(0.5, 2.0)
    true = replace(fit_tubes(stopped, []), scale=1.002, end=18.5)
    target, builders = 261.63, 3000
    off, stated = [], 0.0
    for _ in range(builders):
        tubes = []
        # With one tube the end correction is known only to physics' spread: draw the truth from it.
        d = 18.5 if len(lengths) > 1 else rng.normal(stopped.long_end, np.hypot(0.05 * stopped.pipe.radius, 1.0))
        truth = replace(true, end=d)
        for length in lengths:
            frequency = truth.frequency(length, Air()) * 2 ** (rng.normal(0, errors.pitch) / 1200)
            tubes.append(tube(stopped, length + rng.normal(0, errors.length), frequency))
        fit = fit_tubes(stopped, tubes, errors)
        off.append(cents(target, truth.frequency(fit.length(target, Air()), Air())))
        stated = fit.spread_cents(target, Air())
    assert np.std(off) == pytest.approx(stated, rel=0.06)
    assert abs(np.mean(off)) < 0.1 * stated


def test_temperature_is_taken_out(stopped):
    # Tubes measured in other air give the same line.
    warm = [tube(stopped, x, sounding(stopped, x, Air(30, 20)), Air(30, 20)) for x in (1200, 300)]
    cool = [tube(stopped, x, sounding(stopped, x, Air(10, 80)), Air(10, 80)) for x in (1200, 300)]
    for frequency in (100.0, 200.0):
        lengths = [fit_tubes(stopped, tubes).length(frequency, Air()) for tubes in (warm, cool)]
        assert lengths[0] == pytest.approx(lengths[1], abs=0.05)


def test_warmer_hall(stopped):
    made = tube_set(TubeRequest(wanted_notes("C3"), stopped, workshop=Air(15, 0), concert=Air(25, 0)))
    (one,) = made.tubes
    # √T: +29.5 cents from 15 to 25 °C (Cramer's equation gives 29.4 in dry air).
    assert one.workshop_cents == pytest.approx(-29.5, abs=0.3)
    assert cents(one.wanted.frequency, one.concert_pitch) == pytest.approx(29.5, abs=0.3)


def test_what_to_measure_next(stopped):
    # The longest and the shortest tube are the best pair.
    notes = wanted_notes("C2-C5")
    long = sounding(stopped, 1330, Air())
    made = tube_set(TubeRequest(notes, stopped, (tube(stopped, 1330, long),)))
    assert made.next_tube.name == "C5"
    # The promise is kept: measure it, and the worst spread is what was said.
    one = made.next_tube
    again = (*made.fit.used, tube(stopped, one.length, made.fit.frequency(one.length, Air())))
    then = tube_set(TubeRequest(notes, stopped, again))
    assert max(t.spread_cents for t in then.tubes) == pytest.approx(one.after, abs=0.05)
    assert one.after < one.before


def test_more_tubes_never_hurt(stopped):
    fit = fit_tubes(stopped, [tube(stopped, x, sounding(stopped, x, Air())) for x in (1200, 300)])
    for length in (300, 600, 1200):
        more = spread_after(fit, length, Air(), Errors())
        for frequency in (70.0, 150.0, 260.0):
            assert more.spread(frequency, Air()) < fit.spread(frequency, Air())


def warned(stopped, *texts, notes="C3-C4"):
    tubes = tuple(read_measured(text, stopped, Air()) for text in texts)
    return " ".join(tube_set(TubeRequest(wanted_notes(notes), stopped, tubes)).warnings)


def exact(stopped, length, off=0.0, capped=True):
    frequency = sounding(replace(stopped, capped=capped), length, Air()) * 2 ** (off / 1200)
    return f"{length} mm {frequency:.3f} Hz {'cap' if capped else 'open'}"


def test_warnings(stopped):
    good = [exact(stopped, x) for x in (1200, 640, 300)]
    assert warned(stopped, *good) == ""
    assert "Measured tubes disagree" in warned(
        stopped, exact(stopped, 1200), exact(stopped, 640, 25), exact(stopped, 300)
    )
    assert '"640 mm' in warned(stopped, *good, exact(stopped, 800), exact(stopped, 640, 25))
    assert "physics disagree" in warned(stopped, exact(stopped, 1200, -50), exact(stopped, 300, 50))
    caps = warned(stopped, exact(stopped, 1200, capped=False), exact(stopped, 300, capped=False))
    assert "Caps differ" in caps
    assert "Outside the measured range (marked *): C3, C#3" in warned(stopped, exact(stopped, 400), exact(stopped, 300))
    assert "Another pipe" in warned(stopped, exact(stopped, 1200) + " pipe 3 in")


def test_other_caps_give_the_speed_only(stopped):
    both = Column(stopped.pipe, capped=False)
    tubes = [tube(both, x, sounding(both, x, Air()) * 2 ** (10 / 1200)) for x in (1200, 400)]
    fit = fit_tubes(stopped, tubes)
    assert fit.end == pytest.approx(stopped.long_end)
    assert fit.scale == pytest.approx(2 ** (10 / 1200), abs=0.003)
    assert fit.scale != 1


@pytest.mark.parametrize(
    ("text", "length", "frequency", "capped", "celsius"),
    [
        ("640 mm C3+5c cap 20C", 640, 131.191, True, 20),
        ("25 3/16 in 130.2 Hz 68F", 639.7625, 130.2, True, 20),
        ("64 cm, C3 -12c, stopped, 22.5 °C 35%", 640, 129.909, True, 22.5),
        ("2 ft 1 1/2 in B3 open 18C", 647.7, 246.942, False, 18),
        ("640,5 mm C3", 640.5, 130.813, True, 20),
    ],
)
def test_reading_measured_tubes(text, length, frequency, capped, celsius, stopped):
    found = read_measured(text, stopped, Air())
    assert found.length == pytest.approx(length)
    assert found.frequency == pytest.approx(frequency, abs=1e-3)
    assert (found.column.capped, found.air.celsius) == (capped, pytest.approx(celsius))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("-640 mm C3", "negative"),
        ("640 C3", "unit"),
        ("0 mm C3", "check the number"),
        ("640 mm", "0 pitches"),
        ("640 mm 0 Hz", "outside 10"),
        ("640 mm -130 Hz", "outside 10"),
        ("640 mm C5", "sounds near C3"),
        ("640 mm C4 cap", "cap the other way"),
        ("640 mm 2 in C3", "2 lengths"),
        ("640 mm C3 C4", "2 pitches"),
        ("640 mm C3 cap open", "cap and open"),
        ("640 mm C3 loudly", "loudly"),
        ("640 mm C3 70C", "Fahrenheit"),
        ("640 mm C3 120%", "Humidity"),
        ("640 mm H3", "0 pitches"),
    ],
)
def test_bad_measured_tubes(text, says, stopped):
    with pytest.raises(RequestError, match=says) as caught:
        read_measured(text, stopped, Air())
    assert "\n" not in caught.value.line
    assert caught.value.remedy

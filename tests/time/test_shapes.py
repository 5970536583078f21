"""Shapes over one another and over written changes, against SciPy's quadrature and published models."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from score.beats import Place
from score.piece import Bar, Meter, Piece, Player, Tempo, TempoChange
from score.time.blends import gauss_legendre
from score.time.pulse import PulseOptions, tempo_map
from score.time.shapes import CURVES, Shape, ShapeKind

F = Fraction
LENGTH = 64
MICROSECOND = 1e-6


def piece(*changes: TempoChange) -> Piece:
    meter = Meter("4/4", (F(1),) * 4, F(1))
    bars = tuple(Bar(i, str(i + 1), F(4 * i), length=F(4), meter=meter) for i in range(LENGTH // 4))
    tempo = Tempo(0, F(0), 60.0, low=60.0, high=60.0)
    return Piece("T", (Player(1, "1", "1", (0,), ("1",), (), ()),), bars, tuple(range(16)), (tempo,), changes)


def by_hand(shape: Shape, at: float) -> float:
    """The factor of a shape from its own words, without the product's code: corners, and the published form between."""
    share, start, end = shape.percent / 100, float(shape.start), float(shape.end)
    length = end - start
    if shape.kind is ShapeKind.END:
        corners = [(start, 1.0), (end, 1 - share)]
    elif shape.kind is ShapeKind.TOP:
        top = start + 0.75 * length if shape.top is None else float(shape.top)
        around = min(length / 4, top - start, end - top)
        corners = [(top - around, 1.0), (top, 1 - share), (top + around, 1.0)]
    else:
        top = start + length / 2 if shape.top is None else float(shape.top)
        corners = [(start, 1.0), (top, 1 + share if shape.kind is ShapeKind.FORWARD else 1 - share), (end, 1.0)]
    for (a, low), (b, high) in pairwise(corners):
        if a <= at < b:
            w = high / low
            return float(low * (1 + (w**shape.curve - 1) * (at - a) / (b - a)) ** (1 / shape.curve))
    return 1.0


def quadrature(shapes: list[Shape], base: float = 1.0) -> float:
    """Seconds of the whole piece at so many quarters a second, by adaptive quadrature of the product of factors."""
    corners = {float(offset) for shape in shapes for offset, _ in shape.corners}
    edges = sorted({0.0, float(LENGTH), *corners})
    return float(
        sum(
            quad(lambda x: 1 / (base * np.prod([by_hand(s, x) for s in shapes])), a, b, epsabs=1e-11, limit=200)[0]
            for a, b in pairwise(edges)
        )
    )


kinds = st.sampled_from(list(ShapeKind))
spans = st.tuples(st.integers(0, 40), st.integers(4, 24))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(kinds, spans, st.floats(0, 60), st.floats(1, 5)), min_size=1, max_size=4))
def test_shapes_over_one_another_are_the_integral_of_their_product(
    drawn: list[tuple[ShapeKind, tuple[int, int], float, float]],
) -> None:
    shapes = [Shape(kind, F(a), F(a + n), percent=percent, curve=curve) for kind, (a, n), percent, curve in drawn]
    times = tempo_map(piece(), PulseOptions(shapes=tuple(shapes)))
    seconds = times.seconds(F(LENGTH))
    assert seconds == pytest.approx(quadrature(shapes), abs=MICROSECOND * seconds / 60 + 1e-9)
    for offset in (F(7, 3), F(20), F(41, 2), F(63)):
        there = times.seconds(offset)
        assert times.seconds(F(times.quarters(there))) == pytest.approx(there, abs=1e-7)


def test_moments_are_found_where_two_shapes_hasten_at_once() -> None:
    # Where the tempo falls steeply, the slope at one moment points beyond the end of the shapes.
    shapes = (
        Shape(ShapeKind.FORWARD, F(0), F(21), percent=55.0, curve=1.0),
        Shape(ShapeKind.BACK, F(14), F(27), percent=31.0, curve=5.0),
    )
    times = tempo_map(piece(), PulseOptions(shapes=shapes))
    for offset in (F(n, 8) for n in range(8 * LENGTH)):
        assert times.quarters(times.seconds(offset)) == pytest.approx(float(offset), abs=1e-7)


def test_what_was_off_by_a_quarter_of_a_second() -> None:
    # Two shapes on the same bars, 20 % each way: the factors' product is 1 - 0.04 in the middle, and 1 at both ends.
    shapes = [Shape(kind, F(8), F(40), percent=20.0) for kind in (ShapeKind.BACK, ShapeKind.FORWARD)]
    assert tempo_map(piece(), PulseOptions(shapes=tuple(shapes))).seconds(F(LENGTH)) == pytest.approx(
        quadrature(shapes), abs=1e-9
    )


def test_a_shape_over_a_written_ritardando() -> None:
    change = TempoChange("rit", Place(2, F(0)), Place(6, F(0)))
    shape = Shape(ShapeKind.FORWARD, F(12), F(36), percent=15.0)
    bare = tempo_map(piece(change))
    times = tempo_map(piece(change), PulseOptions(shapes=(shape,)))
    edges = [0.0, 8.0, 12.0, 24.0, 36.0, 64.0]
    wanted = sum(
        quad(lambda x: 60 / (bare.quarters_per_minute(F(x)) * by_hand(shape, x)), a + 1e-13, b - 1e-13, limit=200)[0]
        for a, b in pairwise(edges)
    )
    assert times.seconds(F(LENGTH)) == pytest.approx(wanted, abs=1e-6)


def test_the_end_stretched_late_is_the_published_final_ritardando() -> None:
    # Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999): v(x) = (1 + (w^q - 1) x)^(1/q). By hand for w = 0.5, q = 3:
    # halfway (1 - 0.875 / 2)^(1/3) = 0.5625^(1/3) = 0.82548; three quarters through 0.34375^(1/3) = 0.70051.
    shape = Shape(ShapeKind.END, F(0), F(16), percent=50.0, curve=CURVES["late"])
    times = tempo_map(piece(), PulseOptions(shapes=(shape,)))
    speeds = [times.quarters_per_minute(F(at)) / 60 for at in (0, 8, 12)]
    assert speeds == pytest.approx([1.0, 0.82548, 0.70051], abs=1e-5)
    # The whole takes 3/2 (1 - w²) / (1 - w³) = 1.125 / 0.875 = 1.285714 times as long.
    assert times.seconds(F(16)) == pytest.approx(16 * 1.285714, abs=1e-4)


def test_a_phrase_leant_forward_evenly_is_the_published_arc() -> None:
    # Todd, J. Acoust. Soc. Am. 91 (1992): tempo moves linearly in time, as v² = u² + 2 a s of a body falling. From
    # 60 to 72 a minute over 16 quarters: a = (1.2² - 1) / 32 = 0.01375 quarters a second²; t = 0.2 / a = 14.5454 s.
    # After half that time, 7.2727 s, the tempo is the mean, 66: at 1 · 7.2727 + a / 2 · 7.2727² = 7.63636 quarters.
    shape = Shape(ShapeKind.FORWARD, F(0), F(32), percent=20.0, curve=CURVES["even"])
    times = tempo_map(piece(), PulseOptions(shapes=(shape,)))
    assert times.seconds(F(16)) == pytest.approx(14.54545, abs=1e-5)
    assert times.quarters(7.272727) == pytest.approx(7.63636, abs=1e-5)
    assert times.quarters_per_minute(F(763636, 100000)) == pytest.approx(66.0, abs=1e-3)
    # The arc is the same back down.
    assert times.seconds(F(32)) == pytest.approx(2 * 14.54545, abs=1e-5)


def test_the_rule_of_the_handbook() -> None:
    # Abramowitz & Stegun 25.4.29 as NumPy computes it.
    nodes, weights = np.polynomial.legendre.leggauss(20)
    ours = np.array(sorted(gauss_legendre(20)))
    assert np.allclose(ours[:, 0], nodes, atol=1e-15)
    assert np.allclose(ours[:, 1], weights, atol=1e-14)

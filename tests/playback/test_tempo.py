"""Seconds from quarters, against closed forms worked elsewhere and numeric quadrature."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from score.beats import Place
from score.piece import Bar, Mark, MarkKind, Meter, Piece, Player, Stroke, StrokeKind, Tempo, TempoChange
from score.playback.tempo import Hold, Stretch, TempoMap, tempo_map

F = Fraction


@pytest.mark.parametrize(
    ("final", "q", "times_longer"),
    [
        # Stretch at x = 1 of the ritard form of Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999),
        # computed from the published formula.
        (0.3, 1, 1.7199),
        (0.3, 2, 1.5385),
        (0.3, 3, 1.4029),
        (0.5, 1, 1.3863),
        (0.5, 2, 1.3333),
        (0.5, 3, 1.2857),
    ],
)
def test_a_ritardando_lasts_as_long_as_the_published_form_says(final: float, q: float, times_longer: float) -> None:
    stretch = Stretch(F(0), F(8), 2.0, 2.0 * final, q)
    assert stretch.seconds(8.0) / 4.0 == pytest.approx(times_longer, abs=1e-4)


@pytest.mark.parametrize(("q", "seconds"), [(1, 5.5452), (2, 5.3333)])
def test_from_120_to_60_over_eight_beats(q: float, seconds: float) -> None:
    # Computed: 60·N·ln(b/a)/(b−a) when linear in beats, N·60·2/(a+b) when linear in time.
    assert Stretch(F(0), F(8), 2.0, 1.0, q).seconds(8.0) == pytest.approx(seconds, abs=5e-5)


speeds = st.floats(0.2, 6.0)


@given(speeds, speeds, st.floats(1.0, 5.0), st.fractions(F(1, 4), 64), st.floats(0.0, 1.0))
def test_seconds_are_the_integral_of_the_speed_and_invert(
    v0: float, v1: float, q: float, length: Fraction, part: float
) -> None:
    stretch = Stretch(F(0), length, v0, v1, q)
    quarters = part * float(length)
    # SciPy's adaptive quadrature knows nothing of the closed form.
    numeric, _ = quad(lambda x: 1 / stretch.speed(x), 0.0, quarters, epsabs=1e-10)
    assert stretch.seconds(quarters) == pytest.approx(numeric, abs=1e-6)
    assert stretch.quarters(stretch.seconds(quarters)) == pytest.approx(quarters, abs=1e-6 * max(v0, v1) + 1e-9)


def test_a_hold_adds_its_seconds_once_and_stands_still() -> None:
    times = TempoMap([Stretch(F(0), F(8), 1.0, 1.0)], [Hold(F(4), 2.0)])
    assert times.seconds(F(3)) == 3.0
    assert times.seconds(F(4)) == 6.0
    assert times.seconds(F(5)) == 7.0
    assert times.quarters(3.5) == 3.5
    assert times.quarters(4.0) == times.quarters(5.0) == times.quarters(5.999) == 4.0
    assert times.quarters(7.0) == 5.0


def _piece(**more: object) -> Piece:
    meter = Meter("4/4", (F(1),) * 4, F(1))
    bars = tuple(Bar(i, str(i + 1), F(4 * i), F(4), meter) for i in range(4))
    stroke = Stroke(1, F(2), F(2), (60,), StrokeKind.STROKE, 0)
    mark = Mark(MarkKind.FERMATA, 1, F(2))
    player = Player(1, "1", "1", (0,), ("1",), (), (stroke,), marks=(mark,) if more.pop("fermata", False) else ())
    tempi = (Tempo(0, F(0), 60.0, 60.0, 60.0), Tempo(2, F(0), 120.0, 120.0, 120.0))
    return Piece("T", (player,), bars, (0, 1, 2, 3), tempi, **more)  # type: ignore[arg-type]


def test_tempo_marks_take_hold_where_they_stand() -> None:
    times = tempo_map(_piece())
    assert times.seconds(F(8)) == pytest.approx(8.0)
    assert times.seconds(F(16)) == pytest.approx(12.0)
    assert times.quarters_per_minute(F(9)) == pytest.approx(120.0)


def test_an_accelerando_arrives_at_the_tempo_that_follows() -> None:
    change = TempoChange("accel", Place(1, F(0)), Place(2, F(0)))
    times = tempo_map(_piece(tempo_changes=(change,)))
    assert times.quarters_per_minute(F(4)) == pytest.approx(60.0)
    assert times.quarters_per_minute(F(799, 100)) == pytest.approx(120.0, rel=0.01)
    assert times.seconds(F(8)) < 8.0


def test_a_ritardando_into_a_faster_tempo_still_slows_down() -> None:
    change = TempoChange("rit", Place(1, F(0)), Place(2, F(0)))
    times = tempo_map(_piece(tempo_changes=(change,)))
    assert times.seconds(F(8)) > 8.0
    assert times.seconds(F(16)) - times.seconds(F(8)) == pytest.approx(4.0)


def test_a_fermata_doubles_its_note() -> None:
    # Common practice, no source: a fermata about doubles the note it stands on.
    plain, held = tempo_map(_piece()), tempo_map(_piece(fermata=True))
    assert held.seconds(F(7)) == plain.seconds(F(7))
    assert held.seconds(F(8)) == pytest.approx(plain.seconds(F(8)) + 2.0)

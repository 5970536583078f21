"""Seconds from quarters, against closed forms worked elsewhere and numeric quadrature."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from score.beats import Place
from score.piece import Bar, Mark, MarkKind, Meter, Piece, Player, Stroke, StrokeKind, Tempo, TempoChange
from score.playback.timeline import PlayOptions, timeline
from score.time.pulse import PulseOptions, route_tempo_map, tempo_map, wait_before
from score.time.route import bars, whole
from score.time.shapes import Shape, ShapeKind
from score.time.tempo_map import Hold, Stretch, TempoMap

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
    stretch = Stretch(F(0), F(8), 2.0, v1=2.0 * final, q=q)
    assert stretch.seconds(8.0) / 4.0 == pytest.approx(times_longer, abs=1e-4)


@pytest.mark.parametrize(("q", "seconds"), [(1, 5.5452), (2, 5.3333)])
def test_from_120_to_60_over_eight_beats(q: float, seconds: float) -> None:
    # Computed: 60·N·ln(b/a)/(b−a) when linear in beats, N·60·2/(a+b) when linear in time.
    assert Stretch(F(0), F(8), 2.0, v1=1.0, q=q).seconds(8.0) == pytest.approx(seconds, abs=5e-5)


speeds = st.floats(0.2, 6.0)


@given(speeds, speeds, st.floats(1.0, 5.0), st.fractions(F(1, 4), 64), st.floats(0.001, 1.0))
def test_seconds_are_the_integral_of_the_speed_and_invert(
    v0: float, v1: float, q: float, length: Fraction, part: float
) -> None:
    stretch = Stretch(F(0), length, v0, v1=v1, q=q)
    quarters = part * float(length)
    # SciPy's adaptive quadrature knows nothing of the closed form; where the slow end is steep it must be led there.
    shares = [share for k in range(1, 9) for share in (10.0**-k, 1 - 10.0**-k)]
    steps = [share * float(length) for share in shares if share < part]
    numeric, _ = quad(
        lambda x: 1 / stretch.speed(x), 0.0, quarters, epsabs=1e-10, epsrel=1e-10, points=steps, limit=500
    )
    assert stretch.seconds(quarters) == pytest.approx(numeric, abs=1e-6)
    assert stretch.quarters(stretch.seconds(quarters)) == pytest.approx(quarters, abs=1e-6 * max(v0, v1) + 1e-9)


def test_a_hold_adds_its_seconds_once_and_stands_still() -> None:
    times = TempoMap([Stretch(F(0), F(8), 1.0, v1=1.0)], [Hold(F(4), 2.0)])
    assert times.seconds(F(3)) == 3.0
    assert times.seconds(F(4)) == 6.0
    assert times.seconds(F(5)) == 7.0
    assert times.quarters(3.5) == 3.5
    assert times.quarters(4.0) == times.quarters(5.0) == times.quarters(5.999) == 4.0
    assert times.quarters(7.0) == 5.0


def _piece(**more: object) -> Piece:
    meter = Meter("4/4", (F(1),) * 4, F(1))
    bars = tuple(Bar(i, str(i + 1), F(4 * i), length=F(4), meter=meter) for i in range(4))
    stroke = Stroke(1, F(2), F(2), pitches=(60,), kind=StrokeKind.STROKE, instrument=0)
    mark = Mark(MarkKind.FERMATA, 1, F(2))
    player = Player(
        1,
        "1",
        "1",
        parts=(0,),
        part_names=("1",),
        instruments=(),
        strokes=(stroke,),
        marks=(mark,) if more.pop("fermata", False) else (),
    )
    tempi = (Tempo(0, F(0), 60.0, low=60.0, high=60.0), Tempo(2, F(0), 120.0, low=120.0, high=120.0))
    return Piece("T", (player,), bars, playing_order=(0, 1, 2, 3), tempi=tempi, **more)  # type: ignore[arg-type]


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


def test_a_wait_is_made_wherever_its_beat_is_reached_from() -> None:
    # Bar 2 is reached from bar 1, from itself and from bar 3; bar 3 once; what is held at the end of bar 2 each time.
    piece = _piece(tempo_changes=(TempoChange("accel", Place(1, F(0)), Place(2, F(0))),), fermata=True)
    piece = replace(piece, playing_order=(0, 1, 1, 2, 1, 3))
    wait = Hold(F(4), 0.75, before=True)
    times = route_tempo_map(piece, whole(piece), PulseOptions(holds=(wait, Hold(F(8), 0.5))))
    moving = tempo_map(piece)
    # SciPy's quadrature over the speed the bare map reports: it knows of no stop and of no route.
    bars_alone = [
        quad(lambda x: 60 / moving.quarters_per_minute(F(x)), 4 * bar + 1e-12, 4 * bar + 4 - 1e-12)[0]
        for bar in range(4)
    ]
    numeric = sum(bars_alone[bar] for bar in (0, 1, 1, 2, 1, 3)) + 3 * 0.75 + 3 * 0.5
    # Where bar 2 follows itself, the wait alone counts.
    assert times.seconds(F(24)) == pytest.approx(numeric - 0.5, abs=1e-6)
    assert [(hold.offset, hold.seconds) for hold in times.holds] == [
        (F(4), 0.75), (F(8), 0.75), (F(12), 0.5), (F(16), 0.75), (F(20), 0.5)
    ]  # fmt: skip


def test_a_loop_waits_before_its_first_beat_and_its_first_pass_does_not() -> None:
    piece, wait = replace(_piece(), players=()), PulseOptions(scale=0.5, holds=(Hold(F(4), 0.75, before=True),))
    route = bars(piece, [1, 2])
    assert route_tempo_map(piece, route, wait).seconds(F(4)) == pytest.approx(8.0)
    assert wait_before(piece, route, wait) == pytest.approx(1.5)
    assert wait_before(piece, bars(piece, [2, 3]), wait) == 0.0
    assert timeline(piece, route, PlayOptions(pulse=wait, count_in=0)).again == pytest.approx(1.5)
    # Counted in, nobody waits.
    assert timeline(piece, route, PlayOptions(pulse=wait, count_in=1)).again == 0.0


@given(
    st.sampled_from(list(ShapeKind)),
    st.floats(-50, 50),
    st.integers(0, 10),
    st.integers(2, 6),
    st.booleans(),
)
def test_shapes_are_integrated_exactly(kind: ShapeKind, percent: float, start: int, length: int, change: bool) -> None:
    shape = Shape(kind, F(start), F(start + length), percent=percent)
    changes = (TempoChange("rit", Place(1, F(0)), Place(2, F(0))),) if change else ()
    piece = _piece(tempo_changes=changes)
    times = tempo_map(piece, PulseOptions(shapes=(shape,)))
    # SciPy's quadrature over the speed that the map itself reports at each place.
    edges = sorted({0.0, *(float(stretch.end) for stretch in times.stretches)})
    numeric = sum(
        quad(lambda x: 60 / times.quarters_per_minute(F(x)), a + 1e-12, b - 1e-12)[0] for a, b in pairwise(edges)
    )
    assert times.seconds(F(16)) == pytest.approx(numeric, abs=1e-6)
    for offset in (F(1), F(start), F(start) + F(length, 3), F(15)):
        # Invertible to one microsecond of playing time.
        assert times.seconds(F(times.quarters(times.seconds(offset)))) == pytest.approx(times.seconds(offset), abs=1e-6)


def test_a_phrase_leant_forward_takes_less_time_and_one_held_back_more() -> None:
    plain = tempo_map(_piece()).seconds(F(8))
    forward = tempo_map(_piece(), PulseOptions(shapes=(Shape(ShapeKind.FORWARD, F(0), F(8), percent=10),)))
    back = tempo_map(_piece(), PulseOptions(shapes=(Shape(ShapeKind.BACK, F(0), F(8), percent=10),)))
    end = tempo_map(_piece(), PulseOptions(shapes=(Shape(ShapeKind.END, F(0), F(8), percent=10),)))
    assert forward.seconds(F(8)) < plain < end.seconds(F(8)) < back.seconds(F(8)) + 1
    assert forward.quarters_per_minute(F(4)) == pytest.approx(66.0)
    # After the end the next bar is in tempo again.
    assert end.seconds(F(16)) - end.seconds(F(8)) == pytest.approx(4.0)


def test_practice_tempo_scales_everything_and_a_steady_one_replaces_it() -> None:
    piece = _piece(fermata=True)
    full, half = tempo_map(piece), tempo_map(piece, PulseOptions(scale=0.5))
    assert half.seconds(F(16)) == pytest.approx(2 * full.seconds(F(16)))
    assert tempo_map(piece, PulseOptions(steady=60.0)).seconds(F(16)) == pytest.approx(16.0)


def test_a_route_is_timed_as_performed() -> None:
    piece = _piece()
    once = tempo_map(piece)
    twice = route_tempo_map(piece, bars(piece, (0, 1, 0, 1)))
    assert twice.seconds(F(16)) == pytest.approx(2 * once.seconds(F(8)))
    with_pickup = route_tempo_map(piece, bars(piece, (2,), pickup=F(1)))
    assert with_pickup.seconds(F(1)) == pytest.approx(1.0)
    assert with_pickup.seconds(F(5)) == pytest.approx(3.0)

"""Measured tubes that physics contradicts are refused, doubted or believed."""

import pytest

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measured_tubes import Measured, read_measured
from score.tubes.measurement_trust import REFUSE, WARN, physics_cents
from score.tubes.tube_acoustics import Column, sounding
from score.tubes.tube_fit import fit_tubes
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tuning_log import Heard, Log, enter, measured_tubes, new_log
from score.tubes.tuning_log_file import read_heard
from score.tubes.wanted_notes import wanted_notes


def off(column: Column, length: float, cents: float) -> Measured:
    """A tube so many cents from physics."""
    return Measured(length, sounding(column, length, Air()) * 2 ** (cents / 1200), column, air=Air(), text="one")


def with_tubes(column: Column, *measured: Measured):
    return tube_set(TubeRequest(wanted_notes("C3-C4 diatonic"), column, measured))


@pytest.mark.parametrize("text", ["600 mm C3 cap 20C", "690 mm C3", "655 mm C3 20C open", "60 mm C3"])
def test_a_length_that_cannot_sound_its_note_is_refused(text, stopped):
    with pytest.raises(RequestError, match="sounds near") as caught:
        read_measured(text, stopped, Air())
    for word in ("length", "note", "octave", "cap", "temperature"):
        assert word in caught.value.line
    assert "\n" not in caught.value.line


def test_the_limit_allows_for_what_physics_does_not_know(stopped):
    for length in (640.0, 150.0):
        limit = REFUSE + 2 * physics_cents(stopped, length)
        for sign in (-1, 1):
            near, far = (
                f"{length} mm {off(stopped, length, sign * (limit + more)).frequency:.4f} Hz" for more in (-0.5, 0.5)
            )
            read_measured(near, stopped, Air())
            with pytest.raises(RequestError, match="sounds near"):
                read_measured(far, stopped, Air())


def test_a_doubtful_tube_is_warned_of_and_widens_the_uncertainty(stopped):
    # 655 mm that sound C3 want 353.7 m/s.
    made = with_tubes(stopped, read_measured("655 mm C3", stopped, Air()))
    assert any("+48 cents from what physics expects" in line and "widens" in line for line in made.warnings)
    other = with_tubes(stopped, off(stopped, 636.6, 0), read_measured("645 mm C3 pipe 3 in", stopped, Air()))
    assert any("645 mm" in line and "from what" in line and "widens" not in line for line in other.warnings)
    plain = with_tubes(stopped, off(stopped, 636.6, 0))
    assert not any("cents from what physics" in line for line in plain.warnings)
    for tube, usual in zip(made.tubes, plain.tubes, strict=True):
        # What physics expects lies within twice the uncertainty.
        assert abs(tube.final - usual.final) < 2 * tube.spread_mm
        assert tube.spread_cents > usual.spread_cents


def test_warned_from_fifteen_cents(stopped):
    for cents, said in ((WARN - 0.5, False), (WARN + 0.5, True), (-WARN - 0.5, True)):
        made = with_tubes(stopped, off(stopped, 640, cents))
        assert any("from what physics expects" in line for line in made.warnings) == said


def test_tubes_that_disagree_among_themselves_are_less_sure(stopped):
    agree = [off(stopped, length, 0) for length in (1200, 900, 640, 300)]
    apart = [off(stopped, length, cents) for length, cents in ((1200, 12), (900, -12), (640, 12), (300, -12))]
    narrow, wide = (fit_tubes(stopped, tubes) for tubes in (agree, apart))
    assert wide.spread_cents(200, Air()) > 3 * narrow.spread_cents(200, Air())


def log_of(column: Column) -> Log:
    return new_log(tube_set(TubeRequest(wanted_notes("C3-C4 diatonic"), column)))


def test_lengths_in_the_log_are_held_to_the_same_rule(stopped):
    log = log_of(stopped)
    with pytest.raises(RequestError, match="Length and pitch: C3: 700 mm sounds near") as caught:
        enter(log, read_heard("C3: C3-18c 700 mm", log))
    assert "temperature" in caught.value.line
    assert enter(log, read_heard("C3: C3-18c 645 mm", log)).heard[-1].length == 645


def test_a_log_that_was_mended_badly_teaches_nothing(stopped):
    log = log_of(stopped)
    spoilt = Log(
        **{name: getattr(log, name) for name in Log.__slots__} | {"heard": (Heard("C3", 130, Air(), length=700),)}
    )
    with pytest.raises(RequestError, match="700 mm with its cap on sounds near"):
        measured_tubes(spoilt, stopped)

"""Tubes that are finished already are neither bought nor cut; what is bought is in whole millimetres."""

import re

import pytest

from score.tubes.air import Air
from score.tubes.cutting.cut_list import Stock, cut_plan
from score.tubes.frame import FrameWish, frame_of
from score.tubes.measured_tubes import read_measured
from score.tubes.sheet import shopping
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tube_texts import tubes_json
from score.tubes.tubes_asked import TubesAsked, typed_tubes
from score.tubes.tuning_log import Heard, enter, measured_tubes, new_log
from score.tubes.units import INCH, read_length, show_rounded_up
from score.tubes.wanted_notes import wanted_notes
from tui.tubes_options import typed_options


def a_set(stopped, notes, *measured, hall=Air()):  # noqa: B008 - air is frozen
    tubes = tuple(read_measured(text, stopped, Air()) for text in measured)
    return tube_set(TubeRequest(wanted_notes(notes), stopped, tubes, concert=hall))


def test_a_finished_tube_is_in_hand(stopped):
    made = a_set(stopped, "C3-C4 diatonic", "640 mm C3 cap 20C")
    first, *others = made.tubes
    assert (first.in_hand, first.final, first.cut) == (True, 640, 640)
    assert not any(tube.in_hand for tube in others)
    assert made.to_cut == tuple(others)
    assert made.next_tube.name != "C3"


@pytest.mark.parametrize(
    "text", ["640 mm C3+5c cap 20C", "640 mm C3 cap 26C", "655 mm C3 cap 20C", "1300 mm 129.9 Hz open"]
)
def test_what_is_not_in_tune_or_in_doubt_is_not(text, stopped):
    assert not any(tube.in_hand for tube in a_set(stopped, "C3-C4 diatonic", text).tubes)


def test_in_tune_at_the_concert_counts(stopped):
    # 15 cents flat at 20 °C is in tune at 25 °C.
    made = a_set(stopped, "C3", "643 mm C3-14.6c cap 20C", hall=Air(25, 50))
    assert made.tubes[0].in_hand
    assert not a_set(stopped, "C3", "643 mm C3-14.6c cap 20C").tubes[0].in_hand


def test_one_tube_is_not_two(stopped):
    assert [tube.in_hand for tube in a_set(stopped, "C3 C3", "640 mm C3").tubes] == [True, False]
    assert [tube.in_hand for tube in a_set(stopped, "C3 C3", "640 mm C3", "640 mm C3").tubes] == [True, True]


def test_tubes_of_another_set_are_not_in_hand(stopped, octave):
    log = enter(new_log(octave), Heard("C3", octave.tubes[0].wanted.frequency, Air(), length=637.0))
    again = tube_set(TubeRequest(wanted_notes("C3"), stopped, measured_tubes(log, stopped)))
    assert not again.tubes[0].in_hand


def test_neither_bought_nor_cut():
    asked = TubesAsked(stock=("3 m",), measured=("640 mm C3 cap 20C",))
    made = typed_tubes("C3 D3", asked)
    told = tubes_json(made)
    assert told["cutting"]["sticks"][0]["tubes"] == ["D3"]
    assert [tube["in_hand"] for tube in told["tubes"]] == [True, False]
    assert "a cap for it" in " ".join(shopping(made.tubes, made.cutting, made.frame))
    every = typed_tubes("C3", asked)
    assert every.cutting is None
    bought = shopping(every.tubes, every.cutting, every.frame)
    assert "every tube of 2 in schedule 40" in bought[0]
    assert not any("cap " in line for line in bought)


def test_wood_and_cord_are_whole_and_enough(octave):
    frame = frame_of(octave, FrameWish())
    lines = shopping(octave, cut_plan([tube.cut for tube in octave.tubes], [Stock(3000)]), frame)
    (wood,) = (line for line in lines if line.startswith("plywood"))
    (cord,) = (line for line in lines if line.startswith("soft cord"))
    assert "." not in wood
    assert "." not in cord
    wide, deep = map(int, re.findall(r"(\d+) mm", wood))
    assert frame.width <= wide < frame.width + 1
    assert frame.depth <= deep < frame.depth + 1


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
@pytest.mark.parametrize("length", [100.0, 100.01, 999.99, 25.4, 300.0])
def test_rounded_up(length, unit):
    shown = read_length(show_rounded_up(length, unit))
    assert length - 1e-5 <= shown < length + (INCH / 16 if unit == "in" else 1)


def test_a_line_of_options_asks_what_the_value_asks():
    # Options and value have their usual figures apart, so that help needs no engine: they must be the same.
    assert typed_options("").asked == TubesAsked()
    line = '--stock "3 m" --measured "640 mm C3 cap 20C" --a4 442 --units in'
    asked = TubesAsked(442, stock=("3 m",), measured=("640 mm C3 cap 20C",), units="in")
    assert typed_options(line).asked == asked

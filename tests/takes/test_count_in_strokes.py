"""A struck count-in against those before: strokes drawn with a lead and a scatter as published for tapping along.

Repp, 2005 (Psychonomic Bulletin & Review 12): taps lead by 20 to 80 ms and scatter by about 20 ms; figures from memory.
"""

import random
from collections.abc import Sequence
from datetime import date
from fractions import Fraction

import pytest

from score.playback.click_strikes import CountIn
from score.strokes.heard_stroke import KEY, HeardStroke
from score.takes.count_in_strokes import (
    StruckCountIn,
    count_in_remark,
    kept_count_ins,
    struck_count_in,
    with_count_in,
)
from score.takes.pad_delay_text import MEASURE_AGAIN, PadDelay, kept_pad_delay
from score.time.meter_beats import Beat, ClickKind

FOUR = CountIn(tuple(Beat(Fraction(beat), ClickKind.BEAT) for beat in range(4)), Fraction(4), tempo=90.0)
BEGINS = 100.0


def taps(chance: random.Random, late: float, scatter: float = 0.02) -> list[HeardStroke]:
    clicks = [BEGINS - (4 - beat) * 60 / 90 for beat in range(4)]
    music = [BEGINS + beat * 60 / 90 for beat in range(8)]
    return [HeardStroke(at + late + chance.gauss(0, scatter), source=KEY) for at in (*clicks, *music)]


def remark(chance: random.Random, usual: float, moved: float) -> str:
    before: Sequence[float] = ()
    for _ in range(8):
        before = kept_count_ins(with_count_in(before, struck_count_in(FOUR, BEGINS, taps(chance, usual))))
    return count_in_remark(struck_count_in(FOUR, BEGINS, taps(chance, usual + moved)), before)


def test_a_delay_that_jumps_is_suspected_and_one_that_stays_is_not() -> None:
    chance = random.Random(170)
    stays = [remark(chance, -0.05, 0.0) for _ in range(300)]
    later = [remark(chance, -0.05, 0.08) for _ in range(300)]
    assert sum(MEASURE_AGAIN in said for said in stays) <= 6
    assert sum(MEASURE_AGAIN in said and " later " in said for said in later) >= 285
    assert "the count-in was struck as in your last 8 passes" in stays
    assert " earlier " in remark(chance, 0.02, -0.09)


def test_nothing_is_said_of_a_count_in_that_was_not_struck_or_the_first_ones() -> None:
    chance = random.Random(171)
    played = [stroke for stroke in taps(chance, 0.0) if stroke.seconds > BEGINS - 0.3]
    assert struck_count_in(FOUR, BEGINS, played) == StruckCountIn(0.0, 0.0, 0)
    assert not struck_count_in(FOUR, BEGINS, []).is_sure
    scattered = StruckCountIn(0.0, 0.08, 4)
    assert count_in_remark(scattered, [0.0] * 8) == ""
    assert kept_count_ins(with_count_in([0.01], scattered)) == (0.01,)
    assert count_in_remark(StruckCountIn(0.2, 0.0, 4), [0.0] * 2) == ""


@pytest.mark.parametrize("text", ["", "1", '["a"]', "{"])
def test_what_was_kept_otherwise_is_none(text: str) -> None:
    assert kept_count_ins(text) == ()


def test_a_kept_delay_says_how_sure_and_how_old_it_is() -> None:
    delay = PadDelay(0.0853, 0.0014, 9, day="2027-03-02")
    assert kept_pad_delay(delay.text()) == delay
    assert "(85 ms, spread 1 ms, from 9 strokes, today)" in delay.words(date(2027, 3, 2))
    assert ", 1 day ago)" in delay.words(date(2027, 3, 3))
    assert MEASURE_AGAIN not in delay.words(date(2027, 4, 1))
    assert MEASURE_AGAIN in delay.words(date(2027, 4, 2))
    # Kept before days were.
    old = kept_pad_delay("[0.0853, 0.0014, 9]")
    assert old == PadDelay(0.0853, 0.0014, 9)
    assert old.words(date(2027, 4, 2)).count("9 strokes)") == 1

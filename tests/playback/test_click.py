"""Clicks of the common meters; their strong beats are common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from score.piece import Bar, Meter
from score.playback.click import Thinning, heard
from score.time.meter_beats import ClickKind, beats

F = Fraction


def bar(groups: str, beat: str, *, length: str = "", index: int = 1) -> Bar:
    parts = tuple(F(group) for group in groups.split())
    meter = Meter("", parts, F(beat))
    return Bar(index, "1", F(0), length=F(length) if length else meter.length, meter=meter)


def row(of: Bar, subdivisions: int = 1) -> str:
    """Each click as its offset and the first letter of its kind."""
    return " ".join(f"{beat.at}{beat.kind[0]}" for beat in beats(of, subdivisions))


@pytest.mark.parametrize(
    ("groups", "beat", "clicks"),
    [
        ("1 1 1 1", "1", "0d 1b 2g 3b"),
        ("1 1 1", "1", "0d 1b 2b"),
        ("1 1", "1", "0d 1b"),
        ("3/2 3/2", "1/2", "0d 3/2b"),
        ("3/2 3/2 3/2 3/2", "1/2", "0d 3/2b 3g 9/2b"),
        ("1 1 3/2", "1/2", "0d 1/2b 1g 3/2b 2g 5/2b 3b"),
        ("3 2", "1", "0d 1b 2b 3g 4b"),
    ],
)
def test_beats_and_groups(groups: str, beat: str, clicks: str) -> None:
    assert row(bar(groups, beat)) == clicks


def test_subdivisions() -> None:
    assert row(bar("1 1", "1"), 3) == "0d 1/3p 2/3p 1b 4/3p 5/3p"


def test_a_pickup_counts_towards_its_end() -> None:
    assert row(bar("1 1 1 1", "1", length="1", index=0)) == "0b"
    assert row(bar("1 1 1 1", "1", length="2", index=0)) == "0g 1b"


def test_thinning_goes_step_by_step_to_none() -> None:
    steps = list(Thinning)
    row = beats(bar("1 1 1 1", "1"))
    left = [sum(heard(beat, step, count) for count in range(4) for beat in row) for step in steps]
    assert left == [16, 8, 4, 2, 4, 0]


@given(st.lists(st.sampled_from(["1", "3/2", "1/2", "2"]), min_size=1, max_size=7), st.integers(1, 4))
def test_clicks_lie_inside_the_bar_in_order_and_the_first_is_the_downbeat(groups: list[str], parts: int) -> None:
    clicks = beats(bar(" ".join(groups), "1/2"), parts)
    assert [click.at for click in clicks] == sorted({click.at for click in clicks})
    assert clicks[0].kind is ClickKind.DOWNBEAT
    assert all(0 <= click.at < sum(map(F, groups)) for click in clicks)

"""Meters against music21's beat sequences, and the groups of odd meters from their beams."""

from fractions import Fraction

import pytest
from lxml import etree
from music21 import meter

from score.reading.meters import BeamRun, grouped, written_meter

F = Fraction


def time(*pairs: tuple[str, str]) -> etree._Element:
    inner = "".join(f"<beats>{beats}</beats><beat-type>{unit}</beat-type>" for beats, unit in pairs)
    return etree.fromstring(f"<time>{inner}</time>")


@pytest.mark.parametrize(
    "text", ["2/4", "3/4", "4/4", "2/2", "3/2", "6/8", "9/8", "12/8", "3/8", "6/4", "2+2+3/8", "3+2/8"]
)
def test_groups_are_music21s_beats(text: str) -> None:
    beats, unit = text.split("/")
    made = written_meter(time((beats, unit)))
    assert made is not None
    # music21 10.5: TimeSignature.beatSequence; for sums it takes the written groups.
    expected = [F(part.duration.quarterLength) for part in meter.TimeSignature(text).beatSequence]
    assert list(made.meter.groups) == expected
    assert made.meter.text == text


@pytest.mark.parametrize(
    ("beats", "edges", "groups"),
    [
        ("7", (), "1 1 3/2"),
        ("7", ((0, F(3, 2)), (F(3, 2), F(5, 2)), (F(5, 2), F(7, 2))), "3/2 1 1"),
        ("7", ((0, 1), (1, F(5, 2)), (F(5, 2), F(7, 2))), "1 3/2 1"),
        ("5", (), "3/2 1"),
        ("5", ((0, 1), (1, F(5, 2))), "1 3/2"),
        ("8", ((0, F(3, 2)), (F(3, 2), 3), (3, 4)), "3/2 3/2 1"),
    ],
)
def test_odd_meters_are_grouped_as_they_are_beamed(beats: str, edges: tuple[tuple[F, F], ...], groups: str) -> None:
    made = written_meter(time((beats, "8")))
    assert made is not None
    beams = [BeamRun(F(start), F(end)) for start, end in edges]
    assert grouped(made, beams).groups == tuple(F(group) for group in groups.split())


@pytest.mark.parametrize("pair", [("0", "4"), ("4", "0"), ("x", "4"), ("-3", "4"), ("", "")])
def test_what_is_no_meter_is_none(pair: tuple[str, str]) -> None:
    assert written_meter(time(pair)) is None

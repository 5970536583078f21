"""What hands do on skins, in words a player uses. Figures: common practice, no source, as the limits' table says."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from score.group.group_file import Group
from score.piece import Instrument, Piece, Player, Segment, Stroke, StrokeKind, Tempo
from score.reading import read_score
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.finding_words import finding_line
from score.setup.limits import SOURCES, Limits, table_of
from score.setup.setup_check import check

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"
SNARE = Instrument("snare-drum", "Snare drum", "drum.snare-drum", pitched=False)
BLOCK = Instrument("wood-block", "Wood block", "wood.wood-block", pitched=False)
Played = Callable[..., list[Finding]]


@pytest.fixture(scope="module")
def study() -> Piece:
    return read_score(STUDY).piece


@pytest.fixture
def speeds(study: Piece) -> Played:
    """What the check says of hands that play so many strokes a quarter for two bars of four at a tempo."""

    def make(tempo: float, parts: int, instrument: Instrument = SNARE, stickings: str = "") -> list[Finding]:
        strokes = tuple(_strokes(parts, stickings))
        player = Player(1, "One", "1", parts=(0,), part_names=("One",), instruments=(instrument,), strokes=strokes)
        tempi = (Tempo(0, Fraction(0), tempo, low=tempo, high=tempo),)
        piece = replace(study, players=(player,), tempi=tempi, tempo_changes=())
        return [f for f in check(piece, Group()).findings if f.kind in (FindingKind.SPEED, FindingKind.LEAP)]

    return make


def _strokes(parts: int, stickings: str) -> Sequence[Stroke]:
    length = Fraction(1, parts)
    return [
        Stroke(
            bar,
            index * length,
            length,
            pitches=(),
            kind=StrokeKind.STROKE,
            instrument=0,
            segments=(Segment(bar, index * length, length),),
            places=("C5",),
            stickings=(stickings[index % len(stickings)],) if stickings else (),
        )
        for bar in range(2)
        for index in range(4 * parts)
    ]


# Sixteenths at quarter = 172, rudiments and rolls written out are what snare drummers play every day.
@pytest.mark.parametrize(
    ("tempo", "parts", "stickings"),
    [
        (172, 4, ""),
        (172, 4, "RLRRLRLL"),
        (172, 4, "RRLL"),
        (120, 8, ""),
        (120, 8, "RRLL"),
        (150, 8, "RRLL"),
        (150, 6, "RRL"),
        (200, 2, "R"),
    ],
)
def test_what_drummers_play_is_no_finding(speeds: Played, tempo: float, parts: int, stickings: str) -> None:
    assert speeds(tempo, parts, stickings=stickings) == []


def test_one_hand_alone_has_its_limit_on_a_skin(speeds: Played) -> None:
    assert speeds(104, 4, stickings="R") == []
    (fast,) = speeds(120, 4, stickings="R")
    assert (fast.figure, fast.limit, fast.weight) == (8.0, 7.0, Weight.TIGHT)


def test_a_block_gives_nothing_back(speeds: Played) -> None:
    """As on bars: 4.8 a second for one hand."""
    (fast,) = speeds(172, 4, BLOCK)
    assert fast.limit == 4.8


def test_both_limits_are_in_the_table_with_their_source() -> None:
    rows = {name: (figure, source) for name, figure, source in table_of(Limits())}
    assert rows["rebound_strokes_a_second"] == (7.0, "common practice, no source")
    assert rows["double_strokes_a_second"][0] >= 10
    assert set(rows) == set(SOURCES)


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (Fraction(0), "bar 1 beat 1"),
        (Fraction(3), "bar 1 beat 4"),
        (Fraction(1, 3), "bar 1, the second of three on beat 1"),
        (Fraction(5, 3), "bar 1, the third of three on beat 2"),
        (Fraction(3, 2), "bar 1, the and of beat 2"),
        (Fraction(11, 4), "bar 1, the fourth of four on beat 3"),
        (Fraction(1, 5), "bar 1, the second of five on beat 1"),
        (Fraction(1, 37), "bar 1, after beat 1"),
    ],
)
def test_a_place_is_said_as_players_say_it(study: Piece, at: Fraction, said: str) -> None:
    bar = next(bar for bar in study.bars if bar.meter.text == "4/4")
    piece = replace(study, bars=(replace(bar, index=0, label="1", start=Fraction(0)),))
    finding = Finding(FindingKind.CHANGE, Weight.TIGHT, 0, bar=0, at=at, figure=1, limit=2, unit="seconds", text="text")
    assert f" {said}: " in finding_line(piece, finding)


def test_three_of_one_hand_in_a_row_are_no_double(speeds: Played) -> None:
    assert [each.kind for each in speeds(172, 4, stickings="RLRR")] == [FindingKind.SPEED]

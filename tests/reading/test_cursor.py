"""Places inside a bar, against worked examples and a plain integer walk (MusicXML 4.0, backup and forward)."""

from collections.abc import Callable
from fractions import Fraction
from math import lcm

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from score.piece import Piece
from score.reading.bar_lengths import lengths_of, meter_length, part_extents
from score.reading.xml_cursor import Cursor, number

Make = Callable[..., str]


def _walk(bar: str, divisions: int = 4) -> tuple[list[tuple[str, Fraction, Fraction]], Fraction]:
    cursor = Cursor(Fraction(divisions))
    placed = cursor.walk(etree.fromstring(f"<measure>{bar}</measure>"))
    return [(str(item.element.tag), item.at, item.length) for item in placed], cursor.end


def test_notes_chords_graces_backup_and_forward(note: Make) -> None:
    bar = (
        note("C4", 4)
        + note("E4", 4, before="<chord/>")
        + note("D4", None, before="<grace/>")
        + "<forward><duration>2</duration></forward>"
        + note("F4", 2, before="<cue/>")
        + "<backup><duration>8</duration></backup>"
        + note("rest", 8)
    )
    placed, end = _walk(bar)
    quarter, half = Fraction(1), Fraction(1, 2)
    assert placed == [
        ("note", 0, quarter),
        ("note", 0, quarter),
        ("note", quarter, 0),
        ("forward", quarter, 0),
        ("note", quarter + half, half),
        ("backup", 2, 0),
        ("note", 0, 2),
    ]
    assert end == 2


def test_divisions_change_inside_a_bar_and_last(note: Make) -> None:
    cursor = Cursor()
    first = f"<attributes><divisions>2</divisions></attributes>{note('C4', 2)}"
    second = f"<attributes><divisions>480</divisions></attributes>{note('C4', 240)}"
    cursor.walk(etree.fromstring(f"<measure>{first}{second}</measure>"))
    assert (cursor.end, cursor.divisions) == (Fraction(3, 2), 480)
    cursor.walk(etree.fromstring(f"<measure>{note('C4', 160)}</measure>"))
    assert cursor.end == Fraction(1, 3)


def test_a_direction_stands_where_its_offset_says() -> None:
    cursor = Cursor(Fraction(4))
    direction = "<direction><direction-type/><offset>-6</offset></direction>"
    (forward, placed) = cursor.walk(
        etree.fromstring(f"<measure><forward><duration>4</duration></forward>{direction}</measure>")
    )
    assert forward.at == 0
    assert (placed.at, placed.offset, placed.shown_at) == (1, Fraction(-3, 2), 0)


STEPS = st.lists(
    st.tuples(st.sampled_from(("note", "chord", "grace", "cue", "backup", "forward")), st.integers(0, 40)), max_size=30
)


@given(steps=STEPS, divisions=st.integers(1, 60))
def test_against_a_walk_in_whole_divisions(steps: list[tuple[str, int]], divisions: int) -> None:
    """The rules of the standard once more, in integers and without the reader's structure."""
    bar, at, onset, furthest, expected = "", 0, 0, 0, []
    for kind, duration in steps:
        length = f"<duration>{duration}</duration>"
        match kind:
            case "backup" | "forward":
                bar += f"<{kind}>{length}</{kind}>"
                expected.append(at)
                at = at + duration if kind == "forward" else max(0, at - duration)
            case "chord":
                bar += f"<note><chord/><rest/>{length}</note>"
                expected.append(onset)
            case "grace":
                bar += "<note><grace/><rest/></note>"
                expected.append(at)
                onset = at
            case _:
                bar += f"<note>{'<cue/>' if kind == 'cue' else ''}<rest/>{length}</note>"
                expected.append(at)
                onset, at = at, at + duration
        furthest = max(furthest, at)
    placed, end = _walk(bar, divisions)
    assert [item[1] for item in placed] == [Fraction(place, divisions) for place in expected]
    assert end == Fraction(furthest, divisions)


@pytest.mark.parametrize(
    ("text", "value"),
    [("4", 4), (" 2.5 ", Fraction(5, 2)), ("-.5", Fraction(-1, 2)), ("+7", 7)]
    + [(text, None) for text in ("", None, "1e9", "NaN", "1/2", "0x10", "9" * 40, "\u0664", "1_0")],
)
def test_numbers_are_plain_decimals(text: str | None, value: Fraction | None) -> None:
    """XML Schema, xs:decimal: no exponents, no infinities."""
    assert number(text) == value


@pytest.mark.parametrize(
    ("beats", "unit", "quarters"),
    [
        ("4", "4", 4),
        ("7", "8", Fraction(7, 2)),
        ("3+2", "8", Fraction(5, 2)),
        ("2+3", "16", Fraction(5, 4)),
        ("x", "4", None),
    ],
)
def test_meter_lengths(beats: str, unit: str, quarters: Fraction | None) -> None:
    """MusicXML 4.0, time: "beats" may hold a sum."""
    assert (
        meter_length(etree.fromstring(f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>")) == quarters
    )


def test_several_beats_add_up() -> None:
    xml = "<time><beats>2</beats><beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type></time>"
    assert meter_length(etree.fromstring(xml)) == Fraction(7, 2)


def _lengths(score_xml: Make, *parts: list[str]) -> list[Fraction]:
    return lengths_of(
        [part_extents(part) for part in etree.fromstring(score_xml(*parts).encode()).iterchildren("part")]
    )


def test_a_pickup_is_as_long_as_its_notes_whatever_rests_say(score_xml: Make, attributes: Make, note: Make) -> None:
    notes = [attributes() + note("C4", 4), note("C4", 16)]
    rests = [attributes() + note("bar", 16), note("bar", 16)]
    assert _lengths(score_xml, notes, rests) == [1, 4]


def test_a_bar_split_by_a_repeat(score_xml: Make, attributes: Make, note: Make) -> None:
    notes = [attributes() + note("C4", 16), note("C4", 12), note("C4", 4), note("C4", 16)]
    rests = [attributes() + note("bar", 16), note("bar", 16), note("bar", 16), note("bar", 16)]
    assert _lengths(score_xml, notes, rests) == [4, 3, 1, 4]


def test_a_bar_that_one_part_leaves_unfinished_keeps_its_length(score_xml: Make, attributes: Make, note: Make) -> None:
    notes = [attributes() + note("C4", 16), note("C4", 6), note("C4", 16)]
    rests = [attributes() + note("bar", 16), note("bar", 16), note("bar", 16)]
    assert _lengths(score_xml, notes, rests) == [4, 4, 4]


def test_empty_bars_are_as_long_as_their_meter(score_xml: Make, attributes: Make, note: Make) -> None:
    notes = [attributes(beats="7", unit="8") + note("C4", 14), "", attributes(beats="2") + ""]
    assert _lengths(score_xml, notes) == [Fraction(7, 2), Fraction(7, 2), 2]


def test_parts_with_different_divisions(score_xml: Make, attributes: Make, note: Make) -> None:
    fine, coarse = [attributes(480) + note("C4", 1440)], [attributes(1) + note("C4", 2)]
    assert _lengths(score_xml, fine, coarse) == [3]


def test_a_trailing_forward_counts(score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes() + note("C4", 4) + "<forward><duration>12</duration></forward>"
    assert _lengths(score_xml, [bar]) == [4]


LENGTHS = st.lists(st.fractions(Fraction(1, 12), 4, max_denominator=12), min_size=1, max_size=8)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(bars=st.lists(LENGTHS, min_size=1, max_size=4), finer=st.integers(1, 9))
def test_the_same_music_in_other_divisions_is_the_same_music(
    read: Callable[..., Piece], score_xml: Make, bars: list[list[Fraction]], finer: int
) -> None:
    """Two parts count their quarters differently; places are the running sums of the lengths in both."""
    divisions = lcm(*(length.denominator for bar in bars for length in bar))
    piece = read(score_xml(_bars(bars, divisions), _bars(bars, divisions * finer)))
    first, second = ([(item.bar, item.at, item.length) for item in player.strokes] for player in piece.players)
    expected = [
        (index, sum(bar[:position], Fraction(0)), length)
        for index, bar in enumerate(bars)
        for position, length in enumerate(bar)
    ]
    assert first == second == expected
    assert [bar.length for bar in piece.bars] == [sum(bar) for bar in bars]
    assert piece.length == sum(sum(bar) for bar in bars)


def _bars(bars: list[list[Fraction]], divisions: int) -> list[str]:
    stated = f"<attributes><divisions>{divisions}</divisions></attributes>"
    pitch = "<pitch><step>A</step><octave>4</octave></pitch>"
    notes = [
        "".join(f"<note>{pitch}<duration>{length * divisions}</duration></note>" for length in bar) for bar in bars
    ]
    return [stated + notes[0], *notes[1:]]

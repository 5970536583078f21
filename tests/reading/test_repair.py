"""Faults of exporters: each is mended, and each says so with its part and bar."""

import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from score.piece import Piece
from score.reading import read_score

Read = Callable[..., Piece]
Make = Callable[..., str]

QUARTER, TRIPLET = (
    "<type>quarter</type>",
    (
        "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    ),
)


def _lines(piece: Piece) -> list[str]:
    return [warning.line for warning in piece.warnings]


def _places(piece: Piece) -> list[tuple[int, Fraction, Fraction]]:
    return [(stroke.bar, stroke.at, stroke.length) for stroke in piece.players[0].strokes]


def test_missing_divisions_are_told_from_note_values(read: Read, score_xml: Make, note: Make) -> None:
    bar = note("C4", 6, QUARTER) + note("C4", 2, TRIPLET) * 3
    piece = read(score_xml([bar]))
    third = Fraction(1, 3)
    assert _places(piece) == [(0, 0, 1), (0, 1, third), (0, 1 + third, third), (0, 1 + 2 * third, third)]
    assert _lines(piece) == [
        "Marimba 1, bar 1: divisions are missing; a quarter was taken as 6 of them, from its note values"
    ]


def test_missing_divisions_are_taken_from_another_part(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    piece = read(score_xml([note("C4", 16)], [attributes(8) + note("C4", 16)]))
    assert _places(piece) == [(0, 0, 2)]
    assert "as in another part" in _lines(piece)[0]


@pytest.mark.parametrize("duration", [None, "-4", "x", "0", "1e5"])
def test_a_duration_that_cannot_be_is_told_from_the_value(
    read: Read, score_xml: Make, attributes: Make, note: Make, duration: str | None
) -> None:
    piece = read(score_xml([attributes() + note("C4", duration, QUARTER) + note("D4", 12)]))
    assert _places(piece) == [(0, 0, 1), (0, 1, 3)]
    assert re.fullmatch(r"Marimba 1, bar 1: a note has .*; 1 quarters were taken, as its value says", _lines(piece)[0])


def test_a_measure_rest_without_duration_is_as_long_as_the_bar(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    piece = read(score_xml([attributes(beats="3") + note("bar", None), note("C4", 12)]))
    assert [bar.length for bar in piece.bars] == [3, 3]


@pytest.mark.parametrize("step", ["backup", "forward"])
def test_a_step_without_length_moves_nothing(
    read: Read, score_xml: Make, attributes: Make, note: Make, step: str
) -> None:
    piece = read(
        score_xml([attributes() + note("C4", 4) + f"<{step}><duration>-3</duration></{step}>" + note("D4", 12)])
    )
    assert _places(piece) == [(0, 0, 1), (0, 1, 3)]
    assert f"a <{step}> has no duration" in _lines(piece)[0]


def test_a_chord_note_without_a_first_note_stands_alone(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bar = attributes() + note("rest", 8) + note("E4", 8, before="<chord/>")
    piece = read(score_xml([bar]))
    assert _places(piece) == [(0, 2, 2)]
    assert "chord note" in _lines(piece)[0]


@pytest.mark.parametrize(
    "pitch",
    [
        "<pitch><step>H</step><octave>4</octave></pitch>",
        "<pitch><step>C</step></pitch>",
        "<pitch><step>C</step><octave>x</octave></pitch>",
        "<pitch><step>C</step><octave>12</octave></pitch>",
        "<pitch/>",
        "",
    ],
)
def test_a_note_without_a_readable_pitch_is_unpitched(
    read: Read, score_xml: Make, attributes: Make, pitch: str
) -> None:
    piece = read(score_xml([f"{attributes()}<note>{pitch}<duration>16</duration></note>"]))
    assert [(stroke.pitches, stroke.places) for stroke in piece.players[0].strokes] == [((), ("B4",))]
    assert "bar 1" in _lines(piece)[0]
    assert "unpitched" in _lines(piece)[0]


def test_quarter_tones_are_rounded(read: Read, score_xml: Make, attributes: Make) -> None:
    pitch = "<pitch><step>C</step><alter>0.5</alter><octave>4</octave></pitch>"
    piece = read(score_xml([f"{attributes()}<note>{pitch}<duration>16</duration></note>"]))
    assert piece.players[0].strokes[0].pitches == (61,)
    assert "quarter tone" in _lines(piece)[0]


def test_a_pitch_out_of_midi_is_unpitched(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    up = "<transpose><chromatic>0</chromatic><octave-change>4</octave-change></transpose>"
    piece = read(score_xml([attributes(more=up) + note("C8", 16)]))
    assert piece.players[0].strokes[0].pitches == ()
    assert "outside MIDI's range" in _lines(piece)[0]


def test_parts_that_stop_early_are_silent(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    piece = read(score_xml([attributes() + note("C4", 16)] * 3, [attributes() + note("C4", 16)]))
    assert len(piece.bars) == 3
    assert len(piece.player(2).strokes) == 1
    assert _lines(piece) == ["Marimba 2: the part has 1 bars, the score 3; the rest was taken as silence"]


def test_a_part_list_that_is_missing_or_wrong(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    xml = score_xml([attributes() + note("C4", 16)], [attributes() + note("D4", 16)])
    bare = re.sub(r"<part-list>.*</part-list>", "", xml)
    assert [player.strokes[0].pitches for player in read(bare).players] == [(60,), (62,)]
    assert len([each for each in read(bare).warnings if "list of parts" in each.what]) == 2
    twice = xml.replace('<part id="P2">', '<part id="P1">')
    assert [player.name for player in read(twice).players] == ["Marimba 1", "Marimba 2"]
    assert "no id of its own" in _lines(read(twice))[0]


def test_overfull_bars_are_said(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    piece = read(score_xml([attributes() + note("C4", 20), note("C4", 16)]))
    assert [bar.length for bar in piece.bars] == [5, 4]
    assert _lines(piece) == ["Marimba 1, bar 1: 5 quarters stand in a bar of 4"]


@pytest.mark.parametrize("label", ["X1", "12a", "", "0", "  "])
def test_labels_are_kept_as_text_and_mean_nothing(
    read: Read, score_xml: Make, attributes: Make, note: Make, label: str
) -> None:
    xml = score_xml([attributes() + note("C4", 16), note("C4", 12)]).replace('number="2"', f'number="{label}"')
    piece = read(xml)
    assert piece.bars[1].label == label.strip()
    assert [stroke.bar for stroke in piece.players[0].strokes] == [0, 1]


def test_an_offset_past_the_barline_lengthens_nothing(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    words = "<direction><direction-type><words>slow</words></direction-type><offset>40</offset></direction>"
    piece = read(score_xml([attributes() + note("C4", 16) + words, note("C4", 16)]))
    assert [bar.length for bar in piece.bars] == [4, 4]
    assert [(mark.bar, mark.at) for mark in piece.players[0].marks] == [(0, 4)]


def test_repairs_leave_the_source_as_it_came(tmp_path: Path, score_xml: Make, attributes: Make, note: Make) -> None:
    path = tmp_path / "faulty.musicxml"
    xml = score_xml([attributes() + note("C4", "-4", QUARTER) + note("E4", 8, before="<chord/>")], [note("D4", 4)])
    path.write_text(xml)
    reading = read_score(path)
    assert reading.piece.warnings
    kept = etree.tostring(etree.fromstring(reading.source.xml), method="c14n")
    assert kept == etree.tostring(etree.fromstring(xml.encode()), method="c14n")


def test_an_empty_beat_unit_stops_nothing(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    mark = "<metronome><beat-unit/><per-minute>60</per-minute></metronome>"
    mark = f"<direction><direction-type>{mark}</direction-type></direction>"
    assert len(read(score_xml([attributes() + mark + note("C4", 16)])).players[0].strokes) == 1

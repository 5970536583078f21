"""The summary as JSON with its documented keys, and as text a musician can check."""

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from score.piece import Piece
from score.reading import read_score
from score.reading.score_summary import piece_json, piece_summary, played_seconds

Read = Callable[..., Piece]
Make = Callable[..., str]


@pytest.fixture
def everything() -> Piece:
    return read_score(Path(__file__).parent / "data" / "everything.musicxml").piece


def test_the_documented_keys_and_no_others(everything: Piece) -> None:
    found = json.loads(json.dumps(piece_json(everything)))
    assert list(found) == ["title", "players", "bars", "playing_order", "tempi", "warnings"]
    assert list(found["players"][0]) == ["number", "name", "short", "parts", "instruments", "strokes"]
    stroke = ["bar", "at", "length", "pitches", "kind", "instrument", "dynamic"]
    assert list(found["players"][0]["strokes"][0]) == stroke
    assert list(found["bars"][0]) == ["index", "label", "start", "length", "meter", "rehearsal_mark"]
    assert list(found["tempi"][0]) == ["bar", "at", "quarters_per_minute", "text"]
    assert all(isinstance(line, str) for line in found["warnings"])


def test_values(everything: Piece) -> None:
    found = json.loads(json.dumps(piece_json(everything)))
    first, second = found["players"]
    assert (first["name"], first["parts"]) == ("Player 1", ["Player 1 - Marimba"])
    assert second["parts"] == ["Player 2 - Kit", "Player 2 - Glockenspiel"]
    triplet = next(stroke for stroke in first["strokes"] if stroke["at"] == "1/3")
    assert [triplet[key] for key in ("bar", "at", "length", "pitches")] == [1, "1/3", "1/3", [47]]
    assert [triplet[key] for key in ("kind", "instrument", "dynamic")] == ["stroke", "Marimba", "mp"]
    assert {stroke["kind"] for stroke in first["strokes"]} == {"stroke", "roll", "grace"}
    assert [stroke["pitches"] for stroke in second["strokes"] if stroke["instrument"] == "Snare Drum"] == [[], [], []]
    assert [bar["start"] for bar in found["bars"]] == ["0", "1", "4", "7"]
    assert [bar["length"] for bar in found["bars"]] == ["1", "3", "3", "5/2"]
    assert [bar["meter"] for bar in found["bars"]] == ["3/4", "3/4", "3/4", "2+3/8"]
    assert found["bars"][1]["rehearsal_mark"] == "A"
    assert found["tempi"][0]["quarters_per_minute"] == 96
    assert sum(Fraction(bar["length"]) for bar in found["bars"]) == everything.length


def test_the_order_played_repeats_bars(everything: Piece) -> None:
    """A pickup, a repeat with two endings, then from the beginning without the repeat: worked out by hand."""
    assert piece_json(everything)["playing_order"] == [0, 1, 2, 1, 3, 0, 1, 3]


def test_the_text_names_what_a_musician_looks_for(everything: Piece) -> None:
    text = piece_summary(everything)
    for said in (
        "Seed",
        "2 players",
        "4 bars, 8 as played",
        "Player 1",
        "Marimba",
        "Tam-tam",
        "3/4 (bar 0)",
        "2+3/8 (bar 3)",
    ):
        assert said in text
    for said in ("quarter = 96", "rit.", "A (bar 1)", "fermatas: bar 1", "damp marks: bar 3", "Warnings"):
        assert said in text
    assert max(map(len, text.splitlines())) <= 120


def test_warnings_are_grouped_with_their_bars(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    short = [attributes() + note("C4", 16), *[note("C4", 12)] * 3]
    whole = [attributes() + note("C4", 16), *[note("C4", 16)] * 3]
    text = piece_summary(read(score_xml(short, whole)))
    assert "Warnings (3)" in text
    assert "Marimba 1, bars 2, 3, 4: the part fills 3 of the bar's 4 quarters" in text


def test_many_warnings_fit_on_a_line(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    short = [attributes() + note("C4", 16), *[note("C4", 12)] * 100]
    whole = [attributes() + note("C4", 16), *[note("C4", 16)] * 100]
    (line,) = [line for line in piece_summary(read(score_xml(short, whole))).splitlines() if "fills" in line]
    assert "and" in line
    assert "more" in line
    assert len(line) < 200


def test_the_length_of_a_score_in_seconds(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """8 bars of 4/4 at quarter = 120 last 16 seconds, 24 with the second half repeated."""
    tempo = '<direction><direction-type><words/></direction-type><sound tempo="120"/></direction>'
    bars = [attributes() + tempo + note("C4", 16), *[note("C4", 16)] * 7]
    assert played_seconds(read(score_xml(bars))) == pytest.approx(16)
    bars[4] = '<barline location="left"><repeat direction="forward"/></barline>' + bars[4]
    bars[7] += '<barline location="right"><repeat direction="backward"/></barline>'
    assert played_seconds(read(score_xml(bars))) == pytest.approx(24)


def test_progress_is_told_from_nothing_to_all(tmp_path: Path, score_xml: Make, attributes: Make, note: Make) -> None:
    path = tmp_path / "score.xml"
    path.write_text(score_xml(*[[attributes() + note("C4", 16)]] * 4))
    told: list[float] = []
    read_score(path, None, lambda what, done: told.append(done) if what == "reading" else None)
    assert told[0] == 0
    assert told[-1] == 1
    assert told == sorted(told)


def test_an_octave_that_was_assumed_is_said(
    read: Callable[..., Piece], score_xml: Make, attributes: Make, note: Make
) -> None:
    """Encyclopaedias: a glockenspiel sounds two octaves above what is written."""
    piece = read(score_xml([attributes() + note("C5", 16)], names=("Glockenspiel",)))
    assert piece.players[0].strokes[0].pitches == (96,)
    assert "no transposition is given for Glockenspiel; it was read as sounding two octaves higher" in piece_summary(
        piece
    )

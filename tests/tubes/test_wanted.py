"""Notes and lengths as builders write them."""

import xml.etree.ElementTree as ET
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from score.errors import RequestError
from score.reading import read_score
from score.tubes.cut_request import read_sheet, read_stock
from score.tubes.pipes import read_pipe
from score.tubes.units import read_length, show_length
from score.tubes.wanted_notes import player_notes, tuning, wanted_notes

SAMPLES = "samples"


def names(text, **options):
    return " ".join(one.name for one in wanted_notes(text, **options))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C3-C4 diatonic", "C3 D3 E3 F3 G3 A3 B3 C4"),
        ("C3-E3", "C3 C#3 D3 D#3 E3"),
        ("C3 to E3 chromatic", "C3 C#3 D3 D#3 E3"),
        ("D3–D4 D major", "D3 E3 F#3 G3 A3 B3 C#4 D4"),
        ("A2-A3 a minor", "A2 B2 C3 D3 E3 F3 G3 A3"),
        ("C4 G3, A3 G3", "G3 G3 (2) A3 C4"),
        ("C3 C3 48", "C3 C3 (2) C3 (3)"),
        ("C3-E3 E3-F3 diatonic", "C3 D3 E3 F3"),
        ("C3-E3 diatonic, E3", "C3 D3 E3 E3 (2)"),
        ("48 50 52", "C3 D3 E3"),
        ("48-52", "C3 C#3 D3 D#3 E3"),
        ("48 to 60 diatonic", "C3 D3 E3 F3 G3 A3 B3 C4"),
        ("F3 Bb3 Db4", "F3 Bb3 Db4"),
        ("F3-F4 F major", "F3 G3 A3 Bb3 C4 D4 E4 F4"),
        ("G3-C4 c minor", "G3 Ab3 Bb3 C4"),
        ("Bb2-D3", "Bb2 B2 C3 Db3 D3"),
        ("Bb2 f♯3", "A#2 F#3"),
        ("G3+12c", "G3+12c"),
        ("220 Hz 261.63Hz", "A3 C4"),
        ("C3-D3 diatonic, F3", "C3 D3 F3"),
    ],
)
def test_notes(text, expected):
    assert names(text) == expected


def test_other_a4():
    # f = 442·2^((48-69)/12) = 131.407 Hz.
    assert tuning("C3 A4=442,5") == 442.5
    assert tuning("C3", 441) == 441
    for notes in (wanted_notes("C3", a4=442), wanted_notes("C3 A4=442"), wanted_notes("48 A4=442 Hz")):
        assert [(one.name, one.midi) for one in notes] == [("C3", 48)]
        assert notes[0].frequency == pytest.approx(131.4074, abs=1e-4)


@pytest.mark.parametrize(
    "text", ["", "H3", "C4-C3", "0 Hz", "-5 Hz", "200", "C3-C4 lydian", "A4=20 C3", "C", "60-48", "130.8"]
)
def test_no_notes(text):
    with pytest.raises(RequestError) as caught:
        wanted_notes(text)
    assert caught.value.remedy
    assert "\n" not in caught.value.line


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("C3 D major", "'D major' chooses among the notes of a range"),
        ("C3 diatonic", "'diatonic' chooses among"),
        ("C3 A4=442 A4=430", "gives A4 twice"),
        ("0-12", "MIDI numbers go from 1 to 127"),
        ("0", "MIDI numbers go from 1 to 127"),
        ("128", "a frequency needs Hz"),
    ],
)
def test_notes_say_what_would_be_taken(text, says):
    with pytest.raises(RequestError, match=says):
        wanted_notes(text)


def test_two_tunings():
    with pytest.raises(RequestError, match="the notes say A4 = 442, 430 was asked for"):
        tuning("C3 A4=442", 430)
    assert tuning("C3 A4=442", 442) == 442
    assert tuning("C3") == 440


def raw_pitches(path):
    """MIDI numbers of each part by its name, straight from the MusicXML elements."""
    root = ET.parse(path).getroot()
    named = {part.get("id"): part.findtext("part-name") for part in root.iter("score-part")}
    steps = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    return {
        named[part.get("id")]: sorted(
            {
                steps[pitch.findtext("step")]  # type: ignore[index]
                + 12 * (int(pitch.findtext("octave")) + 1)  # type: ignore[arg-type]
                + int(pitch.findtext("alter", "0"))
                for pitch in part.iter("pitch")
            }
        )
        for part in root.iter("part")
    }


def test_notes_of_a_part(request):
    path = request.config.rootpath / SAMPLES / "quartet.musicxml"
    piece = read_score(path).piece
    expected, checked = raw_pitches(path), 0
    pitched = [player for player in piece.players if any(stroke.pitches for stroke in player.strokes)]
    for player in pitched:
        # Marimba sounds as written.
        if {one.key for one in player.instruments} == {"marimba"} and len(player.part_names) == 1:
            assert [one.midi for one in player_notes(piece, player.number)] == expected[player.part_names[0]]
            checked += 1
    assert checked
    with pytest.raises(RequestError, match="no player"):
        player_notes(piece, 99)
    with pytest.raises(RequestError, match="no pitched note"):
        player_notes(piece, pitched[0].number, instrument="kazoo")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("640 mm", 640),
        ("64cm", 640),
        ("1.2 m", 1200),
        ("25 3/16 in", 25.1875 * 25.4),
        ('25-3/16"', 25.1875 * 25.4),
        ("3/8 inch", 9.525),
        ("10 ft", 3048),
        ("2' 1 1/2\"", 25.5 * 25.4),
        ("640,5 mm", 640.5),
    ],
)
def test_lengths(text, expected):
    assert read_length(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    "text", ["640", "-3 mm", "0 mm", "1/0 in", "640 mm 2 in", "3 in 2 mm", "640 parsecs", "900 m", "12 mm x"]
)
def test_no_lengths(text):
    with pytest.raises(RequestError):
        read_length(text)


@given(st.integers(1, 3200))
def test_inches_come_back(parts):
    length = float(Fraction(parts, 32)) * 25.4
    assert read_length(show_length(length, "in")) == pytest.approx(length)


@given(st.floats(1, 5000), st.sampled_from(["mm", "cm", "in"]))
def test_shown_lengths_are_near(length, unit):
    assert read_length(show_length(length, unit)) == pytest.approx(length, abs=0.4 if unit == "in" else 0.051)


@pytest.mark.parametrize(
    ("text", "outside", "wall", "inside"),
    [("1 1/2 in", 1.900, 0.145, 1.592), ("2 in", 2.375, 0.154, 2.049), ("2.5 in", 2.875, 0.203, 2.445),
     ("3 in", 3.500, 0.216, 3.042), ("4 in PVC", 4.500, 0.237, 3.998)],
)  # fmt: skip
def test_schedule_40(text, outside, wall, inside):
    # ASTM D1785 pipe tables: average inside diameter, a little under outside less two least walls.
    pipe = read_pipe(text)
    assert (pipe.outside / 25.4, pipe.inside / 25.4) == pytest.approx((outside, inside))
    assert outside - 2 * wall * 1.13 < pipe.inside / 25.4 <= outside - 2 * wall


def test_other_pipes():
    for text in ("inside 52 mm outside 60 mm", "outside 6 cm wall 4 mm", "inside 52 mm wall 4 mm"):
        pipe = read_pipe(text)
        assert (pipe.inside, pipe.outside) == pytest.approx((52, 60))
    for text in ("7 in", "wide", "inside 60 mm outside 52 mm", "inside 52 mm"):
        with pytest.raises(RequestError):
            read_pipe(text)


def test_stock_and_sheets():
    assert (read_stock("10 ft").length, read_stock("10 ft").count) == (pytest.approx(3048), None)
    assert (read_stock("2 x 830 mm", True).length, read_stock("2 x 830 mm", True).count) == (830, 2)
    assert read_stock("830 mm", leftover=True).count == 1
    assert read_sheet("1220 x 610 mm") == read_sheet("122 cm × 61 cm") == (1220, 610)
    assert read_sheet("4 ft x 2 ft") == pytest.approx((1219.2, 609.6))
    for text in ("0 x 3 m", "-2 x 3 m", "3"):
        with pytest.raises(RequestError):
            read_stock(text)
    with pytest.raises(RequestError):
        read_sheet("1220 mm")
    with pytest.raises(RequestError, match="from 1 to 1000"):
        read_stock("100000 x 1 m", leftover=True)

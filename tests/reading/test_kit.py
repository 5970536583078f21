"""Which instrument is struck: the three ways scores write percussion, changes by words, signs and sounds."""

from collections.abc import Callable

import pytest

from score.piece import MarkKind, Piece

Read = Callable[..., Piece]
Make = Callable[..., str]

PERCUSSION_CLEF = "<clef><sign>percussion</sign></clef>"
KIT = "".join(
    f'<score-instrument id="I{n}"><instrument-name>{name}</instrument-name></score-instrument>'
    for n, name in enumerate(("Bass Drum", "Snare Drum", "Tom", "Cowbell"))
)


def _words(text: str) -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def _played(piece: Piece, player: int = 1) -> list[str]:
    found = piece.player(player)
    return [found.instruments[stroke.instrument].key for stroke in found.strokes]


def test_a_kit_of_four_by_instrument_ids(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes(more=PERCUSSION_CLEF) + "".join(note("u:E4", 4, f'<instrument id="I{n}"/>') for n in range(4))
    piece = read(score_xml([bar], names=("Kit",), listed=(KIT,)))
    assert _played(piece) == ["bass-drum", "snare-drum", "tom-toms", "cowbell"]
    assert [instrument.name for instrument in piece.players[0].instruments] == [
        "Bass Drum",
        "Snare Drum",
        "Tom",
        "Cowbell",
    ]
    assert all(stroke.pitches == () and stroke.places == ("E4",) for stroke in piece.players[0].strokes)


def test_two_instruments_in_one_chord_are_two_strokes(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bar = attributes() + note("u:F4", 16, '<instrument id="I0"/>')
    bar += note("u:C5", 16, '<instrument id="I1"/>', "<chord/>")
    piece = read(score_xml([bar], names=("Kit",), listed=(KIT,)))
    assert _played(piece) == ["bass-drum", "snare-drum"]


def test_midi_numbers_tell_what_names_do_not(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """General MIDI level 1: key 81 is the open triangle; MusicXML counts it from 1."""
    listed = (
        '<score-instrument id="I0"><instrument-name>Thing</instrument-name></score-instrument>'
        '<midi-instrument id="I0"><midi-unpitched>82</midi-unpitched></midi-instrument>'
    )
    piece = read(score_xml([attributes() + note("u:E4", 16)], names=("Part 3",), listed=(listed,)))
    assert [(item.key, item.midi_unpitched) for item in piece.players[0].instruments] == [("triangle", 81)]


def test_sounds_tell_what_names_do_not(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    listed = (
        '<score-instrument id="I0"><instrument-name>A</instrument-name>'
        "<instrument-sound>pitched-percussion.vibraphone</instrument-sound></score-instrument>"
    )
    piece = read(score_xml([attributes() + note("C4", 16)], names=("Second",), listed=(listed,)))
    assert _played(piece) == ["vibraphone"]


def test_labels_make_a_kit_of_a_five_line_staff(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes(more=PERCUSSION_CLEF) + _words("S.D.") + note("u:C5", 4) + _words("susp. cym.") + note("u:G5", 4)
    bar += note("u:C5", 4) + note("u:G5", 4)
    piece = read(score_xml([bar], names=("Percussion 1",)))
    assert _played(piece) == ["snare-drum", "suspended-cymbal", "snare-drum", "suspended-cymbal"]


def test_a_label_on_a_one_line_staff_speaks_for_all(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    lines = PERCUSSION_CLEF + "<staff-details><staff-lines>1</staff-lines></staff-details>"
    bar = attributes(more=lines) + note("u:E4", 4) + _words("Triangle") + note("u:E4", 4) + note("u:E4", 8)
    piece = read(score_xml([bar], names=("Tam-tam",)))
    assert _played(piece) == ["tam-tam", "triangle", "triangle"]


def test_a_change_by_words_and_back(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bars = [
        attributes() + note("C4", 16),
        _words("to crotale") + note("C4", 16),
        _words("back to Mar.") + note("C4", 16),
    ]
    piece = read(score_xml(bars, names=("Marimba",)))
    assert _played(piece) == ["marimba", "crotales", "marimba"]
    # Crotales sound two octaves above what is written (common practice), and no transposition is given.
    assert [stroke.pitches for stroke in piece.players[0].strokes] == [(60,), (84,), (60,)]
    assert "two octaves higher" in piece.warnings[0].line
    changes = [(mark.bar, mark.text) for mark in piece.players[0].marks if mark.kind is MarkKind.INSTRUMENT]
    assert changes == [(1, "crotale"), (2, "Mar.")]


def test_a_pitch_on_an_unpitched_instrument_is_a_place(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bars = [attributes() + note("C4", 16), _words("to Triangle") + note("B4", 16, "<notehead>x</notehead>")]
    strokes = read(score_xml(bars, names=("Vibraphone",))).players[0].strokes
    assert [(stroke.pitches, stroke.places) for stroke in strokes] == [((60,), ()), ((), ("B4",))]


def test_a_notehead_with_a_label_keeps_its_instrument(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    cross = "<notehead>x</notehead>"
    bar = (
        attributes()
        + note("C4", 4)
        + _words("wood block")
        + note("E5", 4, cross)
        + note("C4", 4)
        + note("E5", 4, cross)
    )
    assert _played(read(score_xml([bar], names=("Marimba",)))) == ["marimba", "wood-block", "marimba", "wood-block"]


def test_pitches_in_a_percussion_clef_are_places(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    strokes = (
        read(score_xml([attributes(more=PERCUSSION_CLEF) + note("C5", 16)], names=("Percussion",))).players[0].strokes
    )
    assert [(stroke.pitches, stroke.places) for stroke in strokes] == [((), ("C5",))]


def test_an_instrument_change_in_playback_data(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    listed = '<score-instrument id="I0"><instrument-name>Vibraphone</instrument-name></score-instrument>'
    change = (
        '<direction><direction-type><words/></direction-type><sound><instrument-change id="I0">'
        "<instrument-sound>metal.triangle</instrument-sound></instrument-change></sound></direction>"
    )
    bars = [attributes() + note("C4", 16), change + note("C4", 16)]
    assert _played(read(score_xml(bars, names=("Player 1",), listed=(listed,)))) == ["vibraphone", "triangle"]


def test_a_pictogram_names_its_instrument(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """MusicXML 4.0, percussion: metal-value "tam tam"."""
    sign = "<direction><direction-type><percussion><metal>tam tam</metal></percussion></direction-type></direction>"
    bar = attributes(more=PERCUSSION_CLEF) + sign + note("u:E4", 16)
    assert _played(read(score_xml([bar], names=("Percussion",)))) == ["tam-tam"]


@pytest.mark.parametrize(
    "text", ["like a bell", "hard marimba mallets", "with the triangle", "Allegro", "solo", "l.v."]
)
def test_words_that_only_mention_an_instrument_change_nothing(
    read: Read, score_xml: Make, attributes: Make, note: Make, text: str
) -> None:
    piece = read(score_xml([attributes() + _words(text) + note("C4", 16)], names=("Vibraphone",)))
    assert _played(piece) == ["vibraphone"]


def test_strings_are_not_told_by_words(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    piece = read(score_xml([attributes() + _words("Glocken") + note("C4", 16)], names=("Violin I",)))
    assert [(item.key, item.name) for item in piece.players[0].instruments] == [("", "Violin I")]


@pytest.mark.parametrize(
    ("name", "written", "sounding"),
    [
        ("Glockenspiel", "C5", 96),
        ("Xylophone", "C5", 84),
        ("Crotales", "C5", 96),
        ("Marimba", "C5", 72),
        ("Vibraphone", "C5", 72),
    ],
)
def test_octave_instruments_without_transposition(
    read: Read, score_xml: Make, attributes: Make, note: Make, name: str, written: str, sounding: int
) -> None:
    """Encyclopaedias: the xylophone sounds an octave up, the glockenspiel two; crotales common practice."""
    piece = read(score_xml([attributes() + note(written, 16)], names=(name,)))
    assert piece.players[0].strokes[0].pitches == (sounding,)
    assert bool(piece.warnings) == (sounding != 72)


def test_a_glockenspiel_written_above_its_range_is_at_sounding_pitch(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    piece = read(score_xml([attributes() + note("C7", 16)], names=("Glockenspiel",)))
    assert piece.players[0].strokes[0].pitches == (96,)
    assert "above its range" in piece.warnings[0].line


def test_a_transposition_that_is_given_is_not_added_to(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    up = "<transpose><chromatic>0</chromatic><octave-change>2</octave-change></transpose>"
    piece = read(score_xml([attributes(more=up) + note("C5", 16)], names=("Glockenspiel",)))
    assert piece.players[0].strokes[0].pitches == (96,)
    assert piece.warnings == ()


def test_mallets_and_signs_for_them(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    sign = (
        "<direction><direction-type><percussion><stick><stick-type>yarn</stick-type>"
        "<stick-material>soft</stick-material></stick></percussion></direction-type></direction>"
    )
    bar = attributes() + _words("to vib., hard yarn") + note("C4", 8) + sign + note("D4", 8)
    piece = read(score_xml([bar], names=("Marimba",)))
    marks = [(mark.kind.value, mark.text) for mark in piece.players[0].marks if mark.kind is not MarkKind.WORDS]
    assert marks == [("sticks", "hard yarn"), ("instrument", "vib."), ("sticks", "soft yarn")]


def test_high_and_low_are_two_instruments(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes(more=PERCUSSION_CLEF) + _words("high wood block") + note("u:E5", 4)
    bar += _words("low wood block") + note("u:C5", 4) + _words("wood block") + note("u:E5", 8)
    piece = read(score_xml([bar], names=("Percussion",)))
    assert [item.name for item in piece.players[0].instruments] == ["high wood block", "low wood block"]
    assert [stroke.instrument for stroke in piece.players[0].strokes] == [0, 1, 0]


@pytest.mark.parametrize(
    ("text", "sticks"),
    [
        ("hard yarn", True), ("with brushes", True), ("soft mallets", True), ("bowed", True), ("with hands", True),
        ("mit weichen Schl\u00e4geln", True), ("weiche Schl\u00e4gel", True),
        ("baguettes dures", True), ("bacchette dure", True),
        ("cross stick", False), ("left hand", False), ("hand to hand", False), ("loud", False), ("rubber", True),
    ],
)  # fmt: skip
def test_words_of_mallets(read: Read, score_xml: Make, attributes: Make, note: Make, text: str, sticks: bool) -> None:
    """Common practice, no source."""
    piece = read(score_xml([attributes() + _words(text) + note("C4", 16)], names=("Marimba",)))
    assert any(mark.kind is MarkKind.STICKS for mark in piece.players[0].marks) == sticks

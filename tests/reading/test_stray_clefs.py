"""A percussion clef where none belongs, against music21, which keeps pitches as they are written."""

from collections.abc import Callable

import music21

from score.piece import Piece

Read = Callable[..., Piece]
Make = Callable[..., str]
DRUMS, TREBLE = (f"<attributes><clef><sign>{sign}</sign></clef></attributes>" for sign in ("percussion", "G"))


def test_a_stray_percussion_clef_takes_no_pitch(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bars = [attributes() + note("E4", 16), DRUMS + note("F#4", 16), note("G4", 16), TREBLE + note("A4", 16)]
    xml = score_xml(bars, names=("Violin 1",))
    piece = read(xml)
    expected = [n.pitch.midi for n in music21.converter.parse(xml, format="musicxml").recurse().notes]
    assert [stroke.pitches for stroke in piece.players[0].strokes] == [(pitch,) for pitch in expected]
    assert [(each.part, each.bar, "percussion clef" in each.what) for each in piece.warnings] == [
        ("Violin 1", "2", True)
    ]


def test_a_pitched_part_under_percussion_clefs_alone(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    sound = "<instrument-name/><instrument-sound>strings.viola</instrument-sound>"
    listed = f'<score-instrument id="I">{sound}</score-instrument>'
    piece = read(score_xml([attributes() + DRUMS + note("E4", 16)], names=("Second",), listed=(listed,)))
    assert [stroke.pitches for stroke in piece.players[0].strokes] == [(64,)]


def test_percussion_written_with_pitches_stays_without(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    for name in ("Percussion 1", "Snare Drum", "Player 2", "Batterie"):
        piece = read(score_xml([attributes() + DRUMS + note("C5", 16), TREBLE + note("A4", 16)], names=(name,)))
        assert piece.players[0].strokes[0].pitches == ()
        assert not any("percussion clef" in warning.what for warning in piece.warnings)

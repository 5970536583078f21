"""What becomes a stroke, and what belongs to it (MusicXML 4.0, note and notations)."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from score.piece import Piece, Segment, Stroke, StrokeKind

Read = Callable[..., Piece]
Make = Callable[..., str]

TWO_STAVES = "<staves>2</staves>"


def _strokes(piece: Piece, player: int = 1) -> tuple[Stroke, ...]:
    return piece.player(player).strokes


def _lines(piece: Piece, player: int = 1) -> list[tuple[int, Fraction, Fraction, tuple[int, ...]]]:
    return [(stroke.bar, stroke.at, stroke.length, stroke.pitches) for stroke in _strokes(piece, player)]


def test_a_chord_is_one_stroke_with_its_pitches_ascending(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    head = "<notehead>diamond</notehead>"
    bar = attributes() + note("G4", 8, head) + note("C4", 8, before="<chord/>") + note("E4", 8)
    piece = read(score_xml([bar]))
    assert _lines(piece) == [(0, 0, 2, (60, 67)), (0, 2, 2, (64,))]
    assert _strokes(piece)[0].noteheads == ("normal", "diamond")


def test_a_direction_between_the_notes_of_a_chord_does_not_split_it(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    direction = "<direction><direction-type><words>soft</words></direction-type></direction>"
    bar = attributes() + note("C4", 16) + direction + note("E4", 16, before="<chord/>")
    assert _lines(read(score_xml([bar]))) == [(0, 0, 4, (60, 64))]


def test_a_chord_across_staves_keeps_each_note_on_its_staff(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bar = attributes(more=TWO_STAVES) + note("C3", 16, "<staff>2</staff>")
    bar += note("G4", 16, "<staff>1</staff>", "<chord/>") + note("E3", 16, "<staff>2</staff>", "<chord/>")
    piece = read(score_xml([bar]))
    assert [(stroke.staff, stroke.pitches) for stroke in _strokes(piece)] == [(1, (67,)), (2, (48, 52))]


def test_a_note_without_a_staff_stands_on_one_staff_only(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bar = attributes(more=TWO_STAVES) + note("C4", 8) + note("C3", 8, "<voice>2</voice><staff>2</staff>")
    piece = read(score_xml([bar]))
    assert [(stroke.staff, stroke.pitches) for stroke in _strokes(piece)] == [(1, (60,)), (2, (48,))]
    assert "which staff" in piece.warnings[0].line


def test_grace_strokes_stand_at_their_main_note_and_before_it(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    grace = '<grace slash="yes"/>'
    bar = attributes() + note("C4", 8) + note("D4", None, before=grace) + note("E4", 8)
    piece = read(score_xml([bar]))
    assert [(stroke.kind, stroke.at, stroke.length, stroke.segments) for stroke in _strokes(piece)] == [
        (StrokeKind.STROKE, 0, 2, (Segment(0, Fraction(0), Fraction(2)),)),
        (StrokeKind.GRACE, 2, 0, ()),
        (StrokeKind.STROKE, 2, 2, (Segment(0, Fraction(2), Fraction(2)),)),
    ]


def test_grace_notes_that_close_a_bar_belong_to_the_note_before(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bars = [attributes() + note("C4", 16) + note("D4", None, before="<grace/>"), note("E4", 16)]
    piece = read(score_xml(bars))
    assert [(stroke.kind.value, stroke.bar, stroke.at) for stroke in _strokes(piece)] == [
        ("grace", 0, 0),
        ("stroke", 0, 0),
        ("stroke", 1, 0),
    ]


def test_printed_cues_and_hidden_notes_are_not_strokes(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    hidden = note("D4", 4, attributes=' print-object="no"')
    bar = attributes() + note("C5", 4, before="<cue/>") + hidden + note("E4", 8)
    piece = read(score_xml([bar]))
    assert _lines(piece) == [(0, 2, 2, (64,))]
    assert [warning.what for warning in piece.warnings] == ["hidden notes were left out: they are not printed"]


def _ornament(inside: str) -> str:
    return f"<notations><ornaments>{inside}</ornaments></notations>"


@pytest.mark.parametrize(
    ("ornament", "marks"),
    [
        ('<tremolo type="single">3</tremolo>', 3),
        ("<tremolo>2</tremolo>", 2),
        ('<tremolo type="unmeasured" smufl="buzzRoll">0</tremolo>', 0),
        ("<trill-mark/>", 0),
        ('<wavy-line type="start"/><wavy-line type="stop"/>', 0),
    ],
)
def test_rolls(read: Read, score_xml: Make, attributes: Make, note: Make, ornament: str, marks: int) -> None:
    bar = attributes() + note("C4", 8, _ornament(ornament)) + note("D4", 8)
    strokes = _strokes(read(score_xml([bar])))
    assert [(stroke.kind, stroke.roll_marks) for stroke in strokes] == [
        (StrokeKind.ROLL, marks),
        (StrokeKind.STROKE, 0),
    ]


def test_a_tremolo_between_two_notes_is_one_roll_of_both(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    ratio = "<time-modification><actual-notes>2</actual-notes><normal-notes>1</normal-notes></time-modification>"
    value = f"<type>whole</type>{ratio}"
    bar = attributes() + note("G4", 8, value + _ornament('<tremolo type="start">3</tremolo>'))
    bar += note("C4", 8, value + _ornament('<tremolo type="stop">3</tremolo>'))
    (roll,) = _strokes(read(score_xml([bar])))
    assert (roll.kind, roll.at, roll.length, roll.pitches, roll.roll_marks) == (StrokeKind.ROLL, 0, 4, (60, 67), 3)
    assert [(segment.at, segment.length) for segment in roll.segments] == [(0, 2), (2, 2)]
    assert roll.tuplet is None


def test_a_tremolo_without_its_second_note_is_a_roll_with_a_warning(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    piece = read(score_xml([attributes() + note("C4", 16, _ornament('<tremolo type="start">3</tremolo>'))]))
    assert _strokes(piece)[0].kind is StrokeKind.ROLL
    assert "no second note" in piece.warnings[0].line


def test_a_wavy_line_rolls_every_note_under_it(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    start, stop = _ornament('<wavy-line type="start"/>'), _ornament('<wavy-line type="stop"/>')
    bar = attributes() + note("C4", 4, start) + note("D4", 4) + note("E4", 4, stop) + note("F4", 4)
    assert [stroke.kind.value for stroke in _strokes(read(score_xml([bar])))] == ["roll", "roll", "roll", "stroke"]


def test_a_wavy_line_without_end_rolls_its_first_note_only(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    piece = read(score_xml([attributes() + note("C4", 8, _ornament('<wavy-line type="start"/>')) + note("D4", 8)]))
    assert [stroke.kind.value for stroke in _strokes(piece)] == ["roll", "stroke"]
    assert "never ends" in piece.warnings[0].line


def test_tuplets_are_exact(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    ratio = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    bar = attributes(3) + note("C4", 1, f"<type>eighth</type>{ratio}") * 3 + note("C4", 9)
    strokes = _strokes(read(score_xml([bar])))
    assert [stroke.at for stroke in strokes] == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert [stroke.tuplet for stroke in strokes] == [(3, 2)] * 3 + [None]


def test_sounding_pitch_follows_the_transposition_and_its_changes(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    up = "<transpose><diatonic>0</diatonic><chromatic>0</chromatic><octave-change>1</octave-change></transpose>"
    down = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    bars = [attributes(more=up) + note("C4", 16), f"<attributes>{down}</attributes>" + note("C4", 16)]
    assert [stroke.pitches for stroke in _strokes(read(score_xml(bars)))] == [(72,), (58,)]


def test_a_transposition_of_one_staff_leaves_the_other(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    only = '<transpose number="2"><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>'
    bar = attributes(more=TWO_STAVES + only) + note("C4", 16, "<staff>1</staff>")
    bar += "<backup><duration>16</duration></backup>" + note("C4", 16, "<voice>2</voice><staff>2</staff>")
    assert [stroke.pitches for stroke in _strokes(read(score_xml([bar])))] == [(60,), (48,)]


def test_dynamics_in_force(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    def mark(name: str) -> str:
        return f"<direction><direction-type><dynamics><{name}/></dynamics></direction-type></direction>"

    on_note = "<notations><dynamics><p/></dynamics></notations>"
    bars = [
        attributes() + note("C4", 4) + mark("f") + note("D4", 4) + mark("sfz") + note("E4", 4) + note("F4", 4),
        mark("fp") + note("C4", 8) + note("D4", 4) + note("E4", 4, on_note),
    ]
    strokes = _strokes(read(score_xml(bars)))
    # A sforzando speaks for its stroke; after fp it is soft (common practice, no source).
    assert [stroke.dynamic for stroke in strokes] == ["", "f", "sfz", "f", "fp", "p", "p"]


def test_a_nudged_dynamic_stays_with_its_note(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    mark = "<direction><direction-type><dynamics><f/></dynamics></direction-type><offset>1</offset></direction>"
    assert _strokes(read(score_xml([attributes() + mark + note("C4", 16)])))[0].dynamic == "f"


def test_articulations_and_fingerings(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    marks = (
        "<notations><technical><fingering>2</fingering></technical><articulations><accent/><staccato/></articulations>"
    )
    upper = "<notations><technical><fingering>4</fingering></technical></notations>"
    bar = attributes() + note("C4", 16, f"{marks}</notations>") + note("E4", 16, upper, "<chord/>")
    (stroke,) = _strokes(read(score_xml([bar])))
    assert stroke.articulations == ("accent", "staccato")
    assert stroke.stickings == ("2", "4")


def test_stickings_in_lyrics(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    texts = ["R", "L", "R", "R"]
    bar = attributes() + "".join(note("C4", 4, f"<lyric><text>{text}</text></lyric>") for text in texts)
    assert [stroke.stickings for stroke in _strokes(read(score_xml([bar])))] == [("R",), ("L",), ("R",), ("R",)]
    sung = bar.replace("<text>L<", "<text>La<").replace("<text>R<", "<text>Ro<", 1)
    assert all(stroke.stickings == () for stroke in _strokes(read(score_xml([sung]))))


def test_stickings_in_words(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    def words(text: str) -> str:
        return f"<direction><direction-type><words>{text}</words></direction-type></direction>"

    bar = attributes() + words("R") + note("C4", 8) + words("L") + note("D4", 8)
    assert [stroke.stickings for stroke in _strokes(read(score_xml([bar])))] == [("R",), ("L",)]
    alone = attributes() + words("1") + note("C4", 16)
    assert _strokes(read(score_xml([alone])))[0].stickings == ()


def test_let_ring_and_damp(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    def direction(inside: str) -> str:
        return f"<direction><direction-type>{inside}</direction-type></direction>"

    bar = attributes() + direction("<words>l.v.</words>") + note("C4", 4) + direction("<damp/>") + note("D4", 4)
    bar += direction("<words>damp</words>") + note("E4", 4)
    bar += note("F4", 4, '<notations><tied type="let-ring"/></notations>')
    strokes = _strokes(read(score_xml([bar])))
    assert [stroke.let_ring for stroke in strokes] == [True, False, False, True]
    assert [stroke.damp for stroke in strokes] == [False, True, True, False]
    assert strokes[0].words == ("l.v.",)


def test_two_voices_at_one_place_are_two_strokes(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes() + note("C5", 16, "<voice>1</voice>") + "<backup><duration>16</duration></backup>"
    piece = read(score_xml([bar + note("C4", 8, "<voice>2</voice>") * 2]))
    assert _lines(piece) == [(0, 0, 4, (72,)), (0, 0, 2, (60,)), (0, 2, 2, (60,))]


def test_rests_and_whole_bar_rests(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    full = [attributes(beats="3") + note("C4", 4), note("C4", 12), note("C4", 4) + note("rest", 8)]
    resting = [attributes(beats="3") + note("bar", 12), note("rest", 12), note("C4", 12)]
    piece = read(score_xml(full, resting))
    assert [(rest.bar, rest.length, rest.whole_bar) for rest in piece.player(2).rests] == [(0, 1, True), (1, 3, True)]
    assert [(rest.bar, rest.at, rest.length, rest.whole_bar) for rest in piece.player(1).rests] == [(2, 1, 2, False)]


def test_parts_that_drift_apart_stay_in_line(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """An unfinished bar in one part moves nothing: the next bar begins for all at the same place."""
    whole = [attributes() + note("C4", 16), note("D4", 16)]
    short = [attributes() + note("C4", 12), note("D4", 16)]
    piece = read(score_xml(whole, short))
    assert [bar.start for bar in piece.bars] == [0, 4]
    assert _lines(piece, 2) == [(0, 0, 3, (60,)), (1, 0, 4, (62,))]
    assert "Marimba 2, bar 1: the part fills 3 of the bar's 4 quarters" in [warning.line for warning in piece.warnings]


def test_a_cue_note_of_full_size_is_played(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """MusicXML 4.0, type: size "full" prints it as an ordinary note, so its player plays it."""
    full = note("D5", 4, '<type size="full">quarter</type>', "<cue/>")
    small = note("F5", 4, '<type size="cue">quarter</type>', "<cue/>")
    piece = read(score_xml([attributes() + full + small + note("E4", 8)]))
    assert [stroke.pitches for stroke in piece.players[0].strokes] == [(74,), (64,)]


def test_a_cue_staff_is_not_played(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    """MusicXML 4.0, staff-type "cue": a staff of cues in a part."""
    details = TWO_STAVES + '<staff-details number="1"><staff-type>cue</staff-type></staff-details>'
    bar = attributes(more=details) + note("C5", 16, "<staff>1</staff>")
    bar += "<backup><duration>16</duration></backup>" + note("C4", 16, "<voice>2</voice><staff>2</staff>")
    assert _lines(read(score_xml([bar]))) == [(0, 0, 4, (60,))]

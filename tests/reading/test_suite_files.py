"""The public MusicXML test suite inside music21: what each file's own description says must come out."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from score.errors import ScoreFileError
from score.piece import Piece, Stroke, StrokeKind
from score.reading import read_score

Suite = Callable[[str], Piece]


@pytest.fixture
def of_suite(suite: Path) -> Suite:
    def read(name: str) -> Piece:
        return read_score(next(suite.glob(f"{name}*"))).piece

    return read


def _strokes(piece: Piece, player: int = 1) -> tuple[Stroke, ...]:
    return piece.player(player).strokes


def test_every_file_is_read_or_has_no_notes(suite: Path) -> None:
    refused = []
    for path in sorted(suite.glob("*.xml")):
        try:
            assert read_score(path).piece.players
        except ScoreFileError as error:
            refused.append((path.name, error.title))
    # Files about rests, barlines, repeats, headers and layout hold rests only.
    assert {name[:2] for name, _ in refused} <= {"02", "41", "45", "46", "51", "52"}
    assert {title for _, title in refused} == {"No notes"}


def test_transposing_parts_sound_alike(of_suite: Suite) -> None:
    """72b: "Each part plays a c''"; 72a: "All of them show the C major scale"."""
    assert {stroke.pitches for player in of_suite("72b").players for stroke in player.strokes} == {(72,)}
    scales = [[stroke.pitches[0] % 12 for stroke in player.strokes] for player in of_suite("72a").players]
    assert scales == [[0, 2, 4, 5, 7, 9, 11, 0]] * 3


def test_a_backup_into_the_middle_of_the_bar(of_suite: Suite) -> None:
    """03b: "Voice 2 thus won't have any notes or rests for the first beat of the measures"."""
    second = [stroke.at for stroke in _strokes(of_suite("03b")) if stroke.voice == "2"]
    assert min(second) == 1


def test_divisions_change_in_mid_bar(of_suite: Suite, suite: Path) -> None:
    """03c: "the first half measure uses a division of 1, which then changes to 8 ... and to 38"."""
    root = etree.parse(str(next(suite.glob("03c*")))).getroot()
    written = [{"quarter": 1, "half": 2}[kind.text] for kind in root.iterfind("part/measure/note/type")]  # type: ignore[index]
    assert [stroke.length for stroke in _strokes(of_suite("03c"))] == written


def test_nested_tuplets_fill_their_bar(of_suite: Suite) -> None:
    """23d: "a 5:2 tuplet inside a 3:2 tuplet"."""
    strokes = _strokes(of_suite("23d"))
    assert [stroke.length for stroke in strokes] == [Fraction(1, 3)] * 2 + [Fraction(2, 15)] * 5 + [Fraction(1, 3)] * 2
    assert sum(stroke.length for stroke in strokes) == 2


def test_directions_between_the_notes_of_a_chord(of_suite: Suite) -> None:
    """21f: "Between the individual notes of a chord there can be direction or harmony elements"."""
    assert [len(stroke.pitches) for stroke in _strokes(of_suite("21f"))] == [3]


def test_chords_after_a_pickup(of_suite: Suite) -> None:
    """21e: "proper chord detection after a pickup measure"."""
    piece = of_suite("21e")
    assert piece.bars[0].length < piece.bars[0].meter.length
    assert max(len(stroke.pitches) for stroke in _strokes(piece)) > 1
    assert [bar.start for bar in piece.bars[:2]] == [0, piece.bars[0].length]


def test_noteheads_inside_a_chord(of_suite: Suite) -> None:
    """22c: "Different note styles for individual notes inside a chord"."""
    assert all(len(set(stroke.noteheads)) > 1 for stroke in _strokes(of_suite("22c"))[:1])


def test_grace_chords(of_suite: Suite) -> None:
    """24b: "Chords as grace notes"."""
    graces = [stroke for stroke in _strokes(of_suite("24b")) if stroke.kind is StrokeKind.GRACE]
    assert graces
    assert all(len(stroke.pitches) > 1 for stroke in graces)


def test_a_grace_note_at_the_end_of_a_bar_is_an_after_grace(of_suite: Suite) -> None:
    """24c: "Some applications need to convert this into an after-grace"."""
    piece = of_suite("24c")
    graces = [stroke for stroke in _strokes(piece) if stroke.kind is StrokeKind.GRACE]
    assert graces
    mains = {(stroke.bar, stroke.at) for stroke in _strokes(piece) if stroke.kind is StrokeKind.STROKE}
    assert all((stroke.bar, stroke.at) in mains for stroke in graces)


def test_ties_without_end_join_nothing(of_suite: Suite) -> None:
    """33i: "Several ties that have their end tag missing"; 33b: "Two simple tied whole notes"."""
    piece = of_suite("33i")
    assert [stroke.bar for stroke in _strokes(piece)] == [0, 1, 2, 3]
    assert len(piece.warnings) >= 2
    assert [stroke.length for stroke in _strokes(of_suite("33b"))] == [8]


def test_staff_changes(of_suite: Suite) -> None:
    """43d: "The final two chords have some notes on the first, some on the second staff"."""
    last = [stroke for stroke in _strokes(of_suite("43d")) if (stroke.bar, stroke.at) >= (1, 1)]
    assert last
    for place in {(stroke.bar, stroke.at) for stroke in last}:
        assert {stroke.staff for stroke in last if (stroke.bar, stroke.at) == place} == {1, 2}


def test_parts_in_the_order_of_the_score(of_suite: Suite) -> None:
    """41a: "Are they converted in the correct order?"; 41i: "part-name-display ... overrides the part-name"."""
    assert [player.name for player in of_suite("41a").players] == ["Part 1", "Part 2", "Part 3", "Part 4"]
    assert of_suite("41i").player(2).name == "Overridden Part Name"


def test_pickup_and_split_bars(of_suite: Suite) -> None:
    """46d: "A 3/8 pickup measure, a measure that is split into one 2/4 and an implicit measure, ... 3/4"."""
    assert [bar.length for bar in of_suite("46d").bars] == [Fraction(3, 2), 2, 2, 3]


def test_incomplete_bars_are_as_short_as_they_are(of_suite: Suite) -> None:
    """46f: "the first and third measures contain only two quarters instead of four"."""
    piece = of_suite("46f")
    assert [bar.length for bar in piece.bars] == [2, 4, 2, 4]
    assert [warning.bar for warning in piece.warnings if warning.bar] == ["3"]


def test_three_kinds_of_percussion_staves(of_suite: Suite) -> None:
    """73a: timpani on five lines, a five-line staff with percussion clef, a one-line staff."""
    piece = of_suite("73a")
    assert [player.instruments[0].key for player in piece.players] == ["timpani", "crash-cymbals", "triangle"]
    assert [bool(player.strokes[0].pitches) for player in piece.players] == [True, False, False]


def test_dynamics_in_notations(of_suite: Suite) -> None:
    """32ac: "dynamics in notations"."""
    assert [item.mark for item in of_suite("32ac").player(1).dynamics] == ["f", "ppp", "sfp", "sfffz"]


def test_a_clarinet_is_no_pair_of_claves(of_suite: Suite) -> None:
    assert {item.key for player in of_suite("72b").players for item in player.instruments} == {""}

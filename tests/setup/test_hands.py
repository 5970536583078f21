"""Hands: printed stickings, speeds, spans, rolls one hand cannot make."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import Group, read_group
from score.piece import Instrument, Mark, MarkKind, Piece, Player, Stroke, StrokeKind
from score.reading import read_score
from score.setup.bar_geometry import bar_mm
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.from_group import numbered_from_right
from score.setup.hand_motions import dealt_passages, motions
from score.setup.hand_passages import Hands
from score.setup.hands import hand_findings, hand_loads
from score.setup.limits import Limits
from score.setup.roll_findings import roll_findings
from score.setup.setup_check import check, suggested_stickings
from score.time.pulse import tempo_map

LIMITS = Limits()
SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def played(
    piece: Piece, strokes: list[Stroke], marks: tuple[Mark, ...] = (), key: str = "marimba"
) -> tuple[Piece, Player]:
    instruments = (Instrument(key, key.capitalize(), pitched=key == "marimba"),)
    player = piece.player(4)._replace(instruments=instruments, strokes=tuple(strokes), marks=marks)
    return replace(piece, players=(*piece.players[:3], player)), player


def note(at: Fraction, *pitches: int, bar: int = 0, **more: object) -> Stroke:
    return Stroke(bar, at, Fraction(1, 4), pitches=pitches, kind=StrokeKind.STROKE, instrument=0)._replace(**more)  # type: ignore[arg-type]


def found_for(piece: Piece, player: Player) -> list[Finding]:
    passages = dealt_passages(Hands(piece, player, tempo_map(piece), LIMITS))
    return [*hand_findings(player, passages, LIMITS), *roll_findings(piece, player, passages, LIMITS)]


def test_a_scale_goes_hand_to_hand(piece: Piece) -> None:
    # Common practice, no source.
    pitches = (60, 62, 64, 65, 67, 69, 71, 72)
    made, player = played(piece, [note(Fraction(i, 4), p) for i, p in enumerate(pitches)])
    dealt = "".join(each.mallets for each in suggested_stickings(made, Group(), player).values())
    assert dealt in ("LRLRLRLR", "RLRLRLRL")


def test_a_passage_of_chords_takes_four_mallets_until_they_change(piece: Piece) -> None:
    strokes = [note(Fraction(0), 48, 55, 64, 72), note(Fraction(1), 60), note(Fraction(2), 67), note(Fraction(3), 60)]
    made, player = played(piece, strokes, (Mark(MarkKind.STICKS, 0, Fraction(2), text="two hard mallets"),))
    dealt = [each.mallets for each in suggested_stickings(made, Group(), player).values()]
    assert dealt[0] == "1234"
    assert dealt[1] in "1234"
    assert set(dealt[2:]) <= {"L", "R"}


def test_printed_numbers_stand_and_may_count_from_the_right(piece: Piece, tmp_path: Path) -> None:
    # Common practice, no source: a minority numbers mallets from the right.
    strokes = [note(Fraction(0), 60, 64, stickings=("1", "4")), note(Fraction(1), 62)]
    made, player = played(piece, strokes)
    (dealt,) = dealt_passages(Hands(made, player, tempo_map(made), LIMITS))
    assert dealt.mallets[0] == "14"
    (turned,) = dealt_passages(Hands(made, player, tempo_map(made), LIMITS, from_right=True))
    assert turned.mallets[0] == "41"
    (tmp_path / "g.group.toml").write_text('[hands]\nnumbered_from = "right"\n')
    assert numbered_from_right(read_group(tmp_path / "g.group.toml"))
    (tmp_path / "g.group.toml").write_text('[hands]\nnumbered_from = "below"\n')
    with pytest.raises(GroupFileError, match="below"):
        check(made, read_group(tmp_path / "g.group.toml"))


def test_nothing_printed_is_suggested_again(piece: Piece) -> None:
    made, player = played(piece, [note(Fraction(0), 60, stickings=("R",)), note(Fraction(1), 62)])
    assert list(suggested_stickings(made, Group(), player)) == [(0, Fraction(1))]


def test_a_leap_and_a_quick_hand_are_found_with_their_figures(piece: Piece) -> None:
    quick = [note(Fraction(i, 8), 60, stickings=("R",)) for i in range(8)]
    made, player = played(piece, quick)
    (speed, *_), quarter = found_for(made, player), tempo_map(piece).seconds(Fraction(1))
    assert speed.kind is FindingKind.SPEED
    assert speed.figure == pytest.approx(8 / quarter, abs=0.01)
    assert speed.limit == LIMITS.hand_strokes_a_second
    far = [note(Fraction(0), 36, stickings=("R",)), note(Fraction(1, 2), 96, stickings=("R",))]
    made, player = played(piece, far)
    leap = next(f for f in found_for(made, player) if f.kind is FindingKind.LEAP)
    mm = bar_mm("marimba", 96) - bar_mm("marimba", 36)
    assert leap.figure == pytest.approx(mm / (quarter / 2), abs=1)


def test_two_notes_for_one_hand_are_held_against_its_span(piece: Piece) -> None:
    # Published method literature: an octave at the bottom.
    wide = note(Fraction(0), 38, 52, stickings=("L", "L"))
    made, player = played(piece, [wide])
    (found,) = found_for(made, player)
    assert (found.kind, found.figure, found.limit) == (FindingKind.SPAN, 14, 12)
    made, player = played(piece, [note(Fraction(0), 38, 50, stickings=("L", "L"))])
    assert found_for(made, player) == []


def test_five_notes_are_too_many_but_two_voices_on_one_bar_are_one(piece: Piece) -> None:
    made, player = played(piece, [note(Fraction(0), 48, 52, 55, 60), note(Fraction(0), 60, 64, voice="2")])
    assert [f.figure for f in found_for(made, player) if f.kind is FindingKind.NOTES] == [5]
    made, player = played(piece, [note(Fraction(0), 48, 52, 55, 60), note(Fraction(0), 60, voice="2")])
    assert not [f for f in found_for(made, player) if f.kind is FindingKind.NOTES]


def test_a_roll_with_strokes_inside_needs_one_hand(piece: Piece) -> None:
    roll = Stroke(0, Fraction(0), Fraction(4), pitches=(60,), kind=StrokeKind.ROLL, instrument=0)
    beats = [note(Fraction(beat), 72) for beat in (0, 1, 2)]
    made, player = played(piece, [roll, *beats])
    (found,) = [f for f in found_for(made, player) if f.kind is FindingKind.ROLL]
    assert (found.weight, found.figure, found.at) == (Weight.CANNOT, 2, Fraction(1))
    assert "four mallets" in found.helps
    made, player = played(piece, [roll, beats[0]])
    assert not [f for f in found_for(made, player) if f.kind is FindingKind.ROLL]
    four = [roll, note(Fraction(1), 72), note(Fraction(2), 48, 52, 60, 72)]
    made, player = played(piece, four)
    (found,) = [f for f in found_for(made, player) if f.kind is FindingKind.ROLL]
    assert found.weight is Weight.TIGHT


def test_a_roll_is_no_quick_hand(piece: Piece) -> None:
    rolls = [
        Stroke(0, Fraction(i, 2), Fraction(1, 2), pitches=(60,), kind=StrokeKind.ROLL, instrument=0) for i in range(6)
    ]
    made, player = played(piece, rolls)
    assert found_for(made, player) == []


def test_a_drum_is_struck_hand_to_hand(piece: Piece) -> None:
    strokes = [note(Fraction(i, 4))._replace(places=("E4",)) for i in range(8)]
    made, player = played(piece, strokes, key="snare-drum")
    dealt = "".join(each.mallets for each in suggested_stickings(made, Group(), player).values())
    assert all(one != two for one, two in pairwise(dealt))
    assert found_for(made, player) == []


def test_loads_are_the_worst_motion_of_each_hand(piece: Piece) -> None:
    player = piece.player(2)
    passages = dealt_passages(Hands(piece, player, tempo_map(piece), LIMITS))
    loads = hand_loads(player, passages, LIMITS)
    every = [motion for dealt in passages for motion in motions(dealt)]
    assert [load.hand for load in loads] == ["left", "right"]
    for side, load in enumerate(loads):
        assert load.mm == round(max(m.mm / m.seconds for m in every if m.hand == side))
        worst = max(1 / m.seconds / m.limit for m in every if m.hand == side and not m.rolled)
        assert load.strokes / load.strokes_limit == pytest.approx(worst, abs=0.01)

"""Suggested stickings: from the player's own side, numbered as their part is, to be found on the page."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from score.group.group_file import Group, read_group
from score.piece import Instrument, Piece, Player, Stroke, StrokeKind
from score.reading import read_score
from score.setup.hand_motions import dealt_passages
from score.setup.hand_passages import Hands
from score.setup.limits import Limits
from score.setup.setup_check import check, suggested_stickings
from score.setup.suggested_stickings import Suggestion, stickings_text, suggested
from score.time.pulse import tempo_map

SAMPLES = Path(__file__).parents[2] / "samples"
FACING = '[[share]]\nplayers = [1, 2]\narrangement = "facing"\n'
FROM_RIGHT = '[hands]\nnumbered_from = "right"\n'


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def struck(piece: Piece, number: int, *chords: tuple[int, ...], key: str = "marimba") -> tuple[Piece, Player]:
    strokes = tuple(
        Stroke(i // 4, Fraction(i % 4), Fraction(1), pitches=chord, kind=StrokeKind.STROKE, instrument=0)
        for i, chord in enumerate(chords)
    )
    instruments = (Instrument(key, key.capitalize(), pitched=True),)
    player = piece.player(number)._replace(instruments=instruments, strokes=strokes, marks=())
    return replace(piece, players=tuple(player if p.number == number else p for p in piece.players)), player


def mallets(piece: Piece, player: Player, tmp_path: Path, text: str) -> list[str]:
    path = tmp_path / "g.group.toml"
    path.write_text(text)
    return [each.mallets for each in suggested_stickings(piece, read_group(path), player).values()]


@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize("numbered", ["", FROM_RIGHT])
def test_left_is_the_players_own_left(piece: Piece, tmp_path: Path, number: int, numbered: str) -> None:
    # Who stands on the far side of a keyboard has its low bars on the right.
    made, player = struck(piece, number, (48, 60))
    path = tmp_path / "g.group.toml"
    path.write_text(FACING + numbered)
    far = {each.player for each in check(made, read_group(path)).plan.standing if each.behind == "marimba"}
    assert len(far & {1, 2}) == 1
    assert mallets(made, player, tmp_path, FACING + numbered) == ["RL" if number in far else "LR"]
    made, player = struck(piece, number, (48, 55, 60, 64))
    four = "4321" if (number in far) != bool(numbered) else "1234"
    assert mallets(made, player, tmp_path, FACING + numbered) == [four]
    assert mallets(made, player, tmp_path, FACING.replace("facing", "side by side")) == ["1234"]


def test_mirrored_scales_mirror_the_sticking(piece: Piece) -> None:
    scale = tuple((p,) for p in (48, 60, 50, 62, 52, 64))
    made, player = struck(piece, 2, *scale)
    rows = []
    for mirrored in (set(), {"marimba"}):
        (dealt,) = dealt_passages(Hands(made, player, tempo_map(made), Limits(), mirrored=mirrored))
        rows.append([each.mallets for each in suggested([dealt]).values()])
    assert rows == [["L", "R"] * 3, ["R", "L"] * 3]


def test_notes_stand_with_their_mallets_as_they_are_written(piece: Piece) -> None:
    made, player = struck(piece, 3, (84,), (86, 91), key="glockenspiel")
    found = suggested_stickings(made, Group(), player)
    # The glockenspiel sounds two octaves above the page (published encyclopaedias).
    assert [each.notes for each in found.values()] == [("C4",), ("D4", "G4")]
    assert stickings_text(made, player, found).endswith("D4+G4 LR")


def test_bars_that_are_the_same_stand_on_one_line_and_lines_are_short(piece: Piece) -> None:
    player = piece.player(1)
    same = {(bar, Fraction(at)): Suggestion("L", ("C4",)) for bar in (3, 4, 5, 7) for at in (0, 1)}
    assert stickings_text(piece, player, same).splitlines() == ["bars 4-6, each: C4 L, C4 L", "bar 8: C4 L, C4 L"]
    for each in piece.players:
        text = stickings_text(piece, each, suggested_stickings(piece, Group(), each))
        assert max(map(len, text.splitlines())) <= 80


def test_nothing_to_suggest_is_said_as_it_is(piece: Piece) -> None:
    made, player = struck(piece, 3, (60,))
    (stroke,) = player.strokes
    printed = player._replace(strokes=(stroke._replace(stickings=("L",)),))
    assert "without a printed sticking" in stickings_text(made, printed, {})
    rolled = player._replace(strokes=(stroke._replace(kind=StrokeKind.ROLL),))
    assert "rolls" in stickings_text(made, rolled, {})
    assert "without a printed" not in stickings_text(made, rolled, {})

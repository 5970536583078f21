"""What the group's file may not say of the set-up: one line each, with the key, what was found, what would work."""

from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import read_group
from score.piece import Piece
from score.reading import read_score
from score.setup.from_group import limits_of
from score.setup.setup_check import check

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def refused(piece: Piece, tmp_path: Path, text: str) -> str:
    path = tmp_path / "g.group.toml"
    path.write_text(text)
    with pytest.raises(GroupFileError) as caught:
        check(piece, read_group(path))
    line = caught.value.line
    assert caught.value.exit_code == 2
    assert "\n" not in line
    assert "None" not in line
    assert "e+" not in line
    assert caught.value.remedy
    return line


@pytest.mark.parametrize(
    "name",
    ["hand_mm_a_second", "hand_strokes_a_second", "four_hand_strokes_a_second", "in_turn_strokes_a_second",
     "strokes_a_second", "walk_metres_a_second"],
)  # fmt: skip
@pytest.mark.parametrize("value", ["0", "-1.5", "nan", "inf", "1e-300"])
def test_a_rate_is_more_than_nothing(piece: Piece, tmp_path: Path, name: str, value: str) -> None:
    line = refused(piece, tmp_path, f"[limits]\n{name} = {value}\n")
    assert f"[limits] {name} = " in line
    assert f"write {name} = " in line
    assert "[[limits]]" not in line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("notes_at_once = 0", "notes_at_once = 0 is not a whole number from 1 to 12; write notes_at_once = 4"),
        ("notes_at_once = 2.5", "notes_at_once = 2.5 is not a whole number"),
        ("notes_at_once = true", "notes_at_once = true is not a figure"),
        ('notes_at_once = "two"', 'notes_at_once = "two" is not a figure'),
        ("notes_at_once = [4]", "notes_at_once = 4 is not a figure"),
        ("loud_share = 1.5", "loud_share = 1.5 is not a figure from 0 to 1; write loud_share = 0.5"),
        ("loud_share = -0.1", "loud_share = -0.1 is not a figure from 0 to 1"),
        ("near_seconds = -1", "near_seconds = -1 is not a figure from 0 to 1000000; write near_seconds = 1"),
    ],
)
def test_a_limit_names_what_was_found_and_what_would_work(piece: Piece, tmp_path: Path, text: str, said: str) -> None:
    assert f"[limits] {said}" in refused(piece, tmp_path, f"[limits]\n{text}\n")


def test_limits_at_their_ends_hold(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text("[limits]\nnotes_at_once = 2.0\nloud_share = 1\nhand_mm_a_second = 0.01\nnear_seconds = 0\n")
    limits = limits_of(read_group(path))
    assert (limits.notes_at_once, limits.loud_share, limits.near_seconds) == (2, 1, 0)
    assert check(piece, read_group(path)).limits == limits


SHARE = "[[share]]\nplayers = [1, 2]\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[share]]\nplayers = [1, 1]\n", "[[share]] has player 1 twice; write each player once"),
        ("[[share]]\nplayers = [1, 9]\n", "[[share]] players = 1, 9 cannot share; write two or more of 1, 2, 3, 4"),
        ("[[share]]\n", "[[share]] players = nothing cannot share"),
        (
            "[[share]]\nplayers = [[1], 2]\n",
            "[[share]] players = 1, 2 is not a list of players' numbers; write players = [1, 2]",
        ),
        (f'{SHARE}instrument = "zorb"\n', '[[share]] instrument = "zorb" is not known'),
        (f'{SHARE}instrument = "tam-tam"\n', "has no tam-tam; that player has"),
        (f'{SHARE}arangement = "facing"\n', "[[share]] arangement is not known; write arrangement"),
        (f'{SHARE}arrangement = "behind"\n', 'arrangement = "behind" is not known; write "facing" or "side by side"'),
        (SHARE + SHARE.replace("1, 2", "2, 4"), "[[share]] player 2 is in two shares of the marimba"),
        ('[[marimba]]\nplayer = 9\noctaves = "5"\n', "[[marimba]] player = 9 is not in the piece; there are players 1"),
        ('[[marimba]]\nplayer = 1\noctave = "5"\n', "[[marimba]] octave is not known; write octaves"),
        ("[[station]]\nplayer = 7\nx = 1\n", "[[station]] player = 7 is not in the piece"),
        ("[[station]]\nplayer = 1\nfacin = 1\n", "[[station]] facin is not known; write facing"),
        ('[[station]]\nplayer = 1\norder = ["zorb"]\n', 'order = "zorb" is not what player 1 has; write each of "'),
        ('[[fitting]]\ninstrument = "triangle"\nhows = "hung"\n', "[[fitting]] hows is not known; write how"),
        ('[hands]\nnumber_from = "right"\n', "[hands] number_from is not known; write numbered_from"),
        (
            '[hands]\nnumbered_from = "below"\n',
            '[hands] numbered_from = "below" is not a known side; write "left" or "right"',
        ),
        ("[limits]\nnear_second = 1\n", "[limits] near_second is not known; write near_seconds"),
        ("[[limits]]\nnear_seconds = 1\n", "[limits] is not a table; write it as [limits]"),
        ("[[shar]]\nplayers = [1, 2]\n", "[[shar]] is not known; write [[share]]"),
        ("[limit]\nnear_seconds = 1\n", "[limit] is not known; write [limits]"),
        ('owned = "marimba"\n', 'owned = "marimba" is not a list of texts; write owned = ["...", "..."]'),
    ],
)
def test_a_table_that_cannot_hold_is_refused(piece: Piece, tmp_path: Path, text: str, said: str) -> None:
    assert said in refused(piece, tmp_path, text)


def test_tables_of_other_rooms_are_left_alone(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text("[[chunk]]\n[[rehearsal]]\n[tempo]\n")
    assert check(piece, read_group(path)).findings

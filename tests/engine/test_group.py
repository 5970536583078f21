"""The group's file: what it may say, and one clear line where it may not."""

from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import CueWish, Group, PlayerEntry, group_path, read_group


def test_stands_beside_the_score() -> None:
    assert group_path(Path("a/quartet.musicxml")) == Path("a/quartet.group.toml")


def test_an_absent_file_is_an_empty_group(tmp_path: Path) -> None:
    assert read_group(tmp_path / "none.group.toml") == Group()


def test_players_and_cue_wishes(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(
        '[[player]]\nnumber = 2\nshort = "2"\nparts = ["Marimba 2", "P5"]\n'
        '[[cue]]\nplayer = 2\nbars = "17-20"\nshow = 3\n'
        '[[cue]]\nplayer = 2\nbars = "4"\nhide = "all"\n'
    )
    group = read_group(path)
    assert group.players == (PlayerEntry(2, "", "2", ("Marimba 2", "P5")),)
    assert group.cues == (CueWish(2, "17-20", show=3), CueWish(2, "4", hide=0))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[cue]\n", "not TOML"),
        ('cue = "17"', "list"),
        ("[[cue]]\nplayer = 0\n", "player"),
        ('[[cue]]\nplayer = 1\nbars = "3"\n', "show or hide"),
        ('[[cue]]\nplayer = 1\nbars = "3"\nshow = 2\nhide = 3\n', "show or hide"),
        ("[[cue]]\nplayer = 1\nshow = 2\n", "bars"),
        ('[[player]]\nnumber = 1\nparts = "Marimba"\n', "list of texts"),
        ("[[player]]\nnumber = true\n", "number"),
    ],
)
def test_what_cannot_hold_is_one_line_that_names_it(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(text)
    with pytest.raises(GroupFileError) as caught:
        read_group(path)
    assert said in caught.value.line
    assert "\n" not in caught.value.line
    assert "q.group.toml" in caught.value.line


def test_latin_1_is_said(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_bytes(b'[[player]]\nnumber = 1\nname = "\xe9"\n')
    with pytest.raises(GroupFileError, match="UTF-8"):
        read_group(path)

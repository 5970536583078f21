"""Changes to the group's file keep comments and everything else; undo gives the same bytes back."""

import tomllib
from datetime import date
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_edit import add_table, put_back, remove_table, set_value
from score.group.group_file import read_group

TEXT = """# ours, since the spring
[[cue]]
player = 2
bars = "17-20"   # ask again
show = 3
"""


def test_a_table_is_added_and_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(TEXT)
    before = add_table(path, "cue", {"player": 1, "bars": "5", "hide": "all"})
    text = path.read_text()
    assert text.startswith("# ours, since the spring")
    assert "# ask again" in text
    assert [(w.player, w.bars, w.hide) for w in read_group(path).cues] == [(2, "17-20", None), (1, "5", 0)]
    put_back(path, before)
    assert path.read_text() == TEXT


def test_a_file_that_was_not_there_is_made_and_unmade(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    before = add_table(path, "note", {"bar": "3", "text": "breathe"})
    assert tomllib.loads(path.read_text()) == {"note": [{"bar": "3", "text": "breathe"}]}
    put_back(path, before)
    assert not path.exists()


def test_a_value_stands_before_the_tables(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(TEXT)
    set_value(path, "concert", date(2027, 3, 14))
    set_value(path, "concert", date(2027, 3, 15))
    read = tomllib.loads(path.read_text())
    assert read["concert"] == date(2027, 3, 15)
    assert len(read["cue"]) == 1


def test_a_table_is_taken_out(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(TEXT)
    add_table(path, "cue", {"player": 1, "bars": "5", "hide": "all"})
    remove_table(path, "cue", 0)
    assert [wish.player for wish in read_group(path).cues] == [1]
    with pytest.raises(GroupFileError):
        remove_table(path, "cue", 7)


def test_no_toml_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text("[[cue")
    with pytest.raises(GroupFileError, match=r"q\.group\.toml"):
        add_table(path, "cue", {})

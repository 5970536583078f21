"""Changes to the group's file keep comments and everything else; undo gives the same bytes back."""

import re
import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from score.errors import GroupFileError
from score.group.entry_blocks import cut_blocks, line_end
from score.group.entry_text import entry_block
from score.group.group_edit import (
    add_table,
    change_table,
    put_back,
    remove_table,
    set_value,
)
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
    (note,) = tomllib.loads(path.read_text())["note"]
    assert re.fullmatch("n[0-9a-f]{6}", note.pop("id"))
    assert note == {"bar": "3", "text": "breathe"}
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


MIXED = """# The group that plays Low Water. Read and edited by hand.

# the tune comes from 3
[[shape]]
id = "s000001"
bars = "57-64"
kind = "back"
percent = 8   # said in November

# three must see one
[[lead]]
bars = "25"
player = 3

# try again!
[[shape]]
bars = "73-80"
kind = "forward"
state = "agreed"
# not before the second week

# ---- words ----

[[note]]
bar = "31"
text = '''breathe
[[lead]]
# with 3'''
"""


def written(tmp_path: Path, text: str = MIXED) -> Path:
    path = tmp_path / "q.group.toml"
    path.write_bytes(text.encode())
    return path


def lines_gone(before: str, after: str) -> list[str]:
    """Lines of `before` that `after` lacks, which must otherwise be the same in the same order."""
    gone, rest = [], iter(after.splitlines(keepends=True))
    here = next(rest, None)
    for line in before.splitlines(keepends=True):
        if line == here:
            here = next(rest, None)
        else:
            gone.append(line)
    assert here is None
    return gone


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("tail", ["", "\n", "# the end\n", "\n# the end\n", "\n\n\n"])
@pytest.mark.parametrize("cut", [0, 1])
def test_an_entry_added_and_taken_out_gives_the_bytes_back(tmp_path: Path, end: str, tail: str, cut: int) -> None:
    text = (MIXED + tail)[: -cut or None].replace("\n", end)
    for start in (text, "", "# ours\n", "concert = 2027-03-14", "concert = 2027-03-14\n\n"):
        path = written(tmp_path, start)
        add_table(path, "shape", {"bars": "3", "kind": "end", "percent": 5.5})
        assert path.read_bytes().startswith(start.encode())
        remove_table(path, "shape", len(tomllib.loads(path.read_text())["shape"]) - 1)
        assert path.read_bytes() == start.encode()


def test_kinds_stay_where_they_stand_and_comments_with_their_entry(tmp_path: Path) -> None:
    path = written(tmp_path)
    add_table(path, "lead", {"bars": "41", "player": 1})
    text = path.read_text()
    assert text.startswith(MIXED)
    assert re.fullmatch(r'\n\[\[lead\]\]\nid = "l[0-9a-f]{6}"\nbars = "41"\nplayer = 1\n', text[len(MIXED) :])


def test_taking_an_entry_out_takes_its_comments_and_no_others(tmp_path: Path) -> None:
    path = written(tmp_path)
    remove_table(path, "shape", 1)
    gone = lines_gone(MIXED, path.read_text())
    assert "".join(gone) == (
        '# try again!\n[[shape]]\nbars = "73-80"\nkind = "forward"\nstate = "agreed"\n# not before the second week\n\n'
    )
    remove_table(path, "shape", 0)
    assert path.read_text().startswith("# The group that plays Low Water. Read and edited by hand.\n\n# three must")


def test_a_change_touches_its_own_lines_only(tmp_path: Path) -> None:
    path = written(tmp_path)
    before = change_table(path, "shape", 0, {"percent": 6.5, "kind": "back"})
    assert before == MIXED.encode()
    assert path.read_text() == MIXED.replace(
        "percent = 8   # said in November\n", 'percent = 6.5   # said in November\nstate = "tried"\n'
    )
    change_table(path, "shape", 0, {"state": None, "percent": 8})
    assert path.read_text() == MIXED


def test_agreed_music_that_changes_is_only_tried_and_words_change_nothing(tmp_path: Path) -> None:
    path = written(tmp_path)
    change_table(path, "shape", 1, {"text": "as in the first week"})
    assert tomllib.loads(path.read_text())["shape"][1]["state"] == "agreed"
    change_table(path, "shape", 1, {"percent": 3})
    assert tomllib.loads(path.read_text())["shape"][1]["state"] == "tried"
    change_table(path, "shape", 1, {"percent": 4, "state": "agreed"})
    assert tomllib.loads(path.read_text())["shape"][1]["state"] == "agreed"
    assert "# not before the second week" in path.read_text()


def test_an_entry_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    path = written(tmp_path)
    with pytest.raises(GroupFileError, match=r"q\.group\.toml has no such \[\[shape\]\]"):
        change_table(path, "shape", 2, {"percent": 1})
    path.write_text('note = [{bar = "3"}]\n')
    with pytest.raises(GroupFileError, match="not TOML"):
        add_table(path, "note", {"bar": "4"})
    assert path.read_text() == 'note = [{bar = "3"}]\n'


@pytest.mark.parametrize("text", [MIXED, TEXT, TEXT.partition("\n")[2], "# ours\n", "", 'owned = [\n  "gong",\n]\n'])
def test_the_concert_stands_under_the_opening_comment(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, text)
    set_value(path, "concert", date(2027, 3, 14))
    after = path.read_text()
    opening = text.partition("\n")[0] if text.startswith("#") else ""
    assert after.startswith(opening)
    assert [line for line in lines_gone(after, text) if line.strip()] == ["concert = 2027-03-14\n"]
    assert tomllib.loads(after)["concert"] == date(2027, 3, 14)


WORD = st.text("ab#\"'[]\\ =", max_size=6)
VALUE = st.one_of(
    WORD.map(lambda word: f'"{word.translate({34: None, 92: None})}"'),
    WORD.map(lambda word: f"'''{word.replace(chr(39), '')}\n[[x]]\n# no\n'''"),
    st.just('[\n  "a",   # one\n  ["b"],\n# two\n]'),
    st.integers(0, 99).map(str),
)
COMMENTS = st.lists(st.sampled_from(["# one", "#", "  # [[lead]]"]), max_size=2)


@st.composite
def group_files(draw: st.DrawFn) -> str:
    parts = [draw(st.sampled_from(["", "# ours\n\n", "# ours\n", "concert = 2027-03-14\n", "\n"]))]
    for _ in range(draw(st.integers(0, 5))):
        lines = [*draw(COMMENTS), f"[[{draw(st.sampled_from(['shape', 'lead', 'note']))}]]"]
        lines += [f"{key} = {draw(VALUE)}" for key in draw(st.sets(st.sampled_from("abc")))]
        parts.append(
            "\n".join(lines + draw(COMMENTS)) + "\n" + draw(st.sampled_from(["", "\n", "\n\n", "\n# free\n\n"]))
        )
    end = draw(st.sampled_from(["\n", "\r\n"]))
    return "".join(parts).replace("\n", end)


@given(group_files(), st.sampled_from(["shape", "lead"]))
def test_blocks_are_the_file_and_an_insertion_is_taken_back(text: str, name: str) -> None:
    blocks = cut_blocks(text)
    assert blocks.text == text
    assert [b.name for b in blocks.blocks] == [
        entry for entry in re.findall(r"(?m)^\[\[(\w+)\]\]\r?$", text) if entry != "x"
    ]
    for place in range(len(blocks.blocks) + 1):
        more = blocks.insert(place, entry_block(name, {"bars": "1"}, line_end(text)))
        again = cut_blocks(more.text)
        assert again.blocks[place].text == more.blocks[place].text
        assert [b.text for b in again.blocks if b is not again.blocks[place]] == [b.text for b in blocks.blocks]
        assert again.remove(place).text == text

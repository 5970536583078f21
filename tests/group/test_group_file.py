"""The group's file: what it may say, and one clear line where it may not."""

import re
from dataclasses import fields
from datetime import date
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import CueWish, Group, PlayerEntry, group_path, read_group
from score.group.group_tables import TABLES, VALUES, heading
from score.setup.limits import Limits


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
        ("[[cue]]\nplayer = 0\n", "[[cue]] player = 0 is not a whole number from 1; write player = 1"),
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


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[rehersal]]\nminutes = 90\n", "[[rehersal]] is not known; write [[rehearsal]]"),
        ('[[chnk]]\nsplit = "25"\n', "[[chnk]] is not known; write [[chunk]]"),
        ('[[cues]]\nplayer = 1\nbars = "3"\nshow = 2\n', "[[cues]] is not known; write [[cue]]"),
        ('[[Chunk]]\nsplit = "25"\n', "[[Chunk]] is not known; write [[chunk]]"),
        ("[tempi]\nwithin_range = 0.5\n", "[tempi] is not known; write [tempo]"),
        ("consert = 2027-03-14\n", "consert is not known; write concert = ..."),
        ("[[zzz]]\n", "[[zzz]] is not known; there are player, cue,"),
        ('concert = "soon"\n', 'concert = "soon" is not a date; write concert = 2027-03-14'),
        ("[[shape]]\npercent = nan\n", "[[shape]] percent = nan is not a figure"),
        ("[[rehearsal]]\nat = 19\n", "[[rehearsal]] at = 19 is not a date and time; write at = 2027-03-02T19:00:00"),
        ('[[hold]]\nbar = "1"\n[hold.more]\n', "[[hold]] more is not known; there are bar,"),
    ],
)
def test_what_no_room_reads_is_refused_with_the_nearest_name(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(text)
    with pytest.raises(GroupFileError) as caught:
        read_group(path)
    assert f"q.group.toml: {said}" in caught.value.line


@pytest.mark.parametrize("name", [name for name, kind in TABLES.items() if kind.fields])
def test_a_letter_left_out_of_any_field_is_refused_with_the_field(tmp_path: Path, name: str) -> None:
    path = tmp_path / "q.group.toml"
    for field in TABLES[name].fields:
        slip = field[:-2] + field[-1] if len(field) > 3 else field + "x"
        path.write_text(f"{heading(name)}\n{slip} = 1\n")
        with pytest.raises(GroupFileError, match="is not known; write") as caught:
            read_group(path)
        assert f"{heading(name)} {slip} is not known" in caught.value.line
        assert caught.value.remedy.removeprefix("write ") in TABLES[name].fields


def test_the_tables_know_every_limit() -> None:
    assert set(TABLES["limits"].fields) == {each.name for each in fields(Limits)}


def test_every_table_and_field_that_a_room_reads_is_known() -> None:
    root = Path(__file__).parents[2]
    source = "".join(p.read_text() for folder in ("score", "tui") for p in (root / folder).rglob("*.py"))
    names = re.findall(r'group_tables?\([\w.]+, "(\w+)"\)|[.]tables[.]get\("(\w+)"\)', source)
    assert {name for pair in names for name in pair if name} <= {*TABLES, *VALUES}
    asked = set(re.findall(r'\btable\.(?:number|text|texts|figure)\("(\w+)"', source))
    # Tubes and concerts have files of their own.
    others = "".join(p.read_text() for room in ("tubes", "concert") for p in (root / "score" / room).rglob("*.py"))
    elsewhere = set(re.findall(r'\btable\.(?:number|text|texts|figure)\("(\w+)"', others))
    assert asked - elsewhere <= {field for kind in TABLES.values() for field in kind.fields}


def test_a_byte_order_mark_is_no_letter(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_bytes(b"\xef\xbb\xbfconcert = 2027-03-14\n")
    assert read_group(path).tables["concert"] == date(2027, 3, 14)

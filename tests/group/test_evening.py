"""What is tried and agreed, for the item at hand, and the evening as Markdown."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from score.group.conflicts import text_of
from score.group.evening import WorkedOn, decisions_in, open_matters, protocol
from score.group.gather import join
from score.group.group_edit import add_table, change_entry
from score.group.group_file import Group, group_tables, read_group
from score.piece import Piece
from tests.group.copies_edited import parse, saved

MakePiece = Callable[..., Piece]
TEXT = """[[shape]]
id = "s000001"
bars = "57-64"
kind = "back"
percent = 8
by = 2
state = "tried"

[[lead]]
id = "l000001"
bars = "25"
player = 3
"""


@pytest.fixture
def piece(make_piece: MakePiece) -> Piece:
    return make_piece("|".join(["x..."] * 116), "|".join(["x..."] * 116), "|".join(["x..."] * 116))


def group_of(tmp_path: Path, text: str) -> tuple[Path, Group]:
    path = tmp_path / "q.group.toml"
    path.write_text(text)
    return path, read_group(path)


def test_the_item_at_hand_knows_what_is_tried_and_agreed_in_its_bars(tmp_path: Path, piece: Piece) -> None:
    _, group = group_of(tmp_path, TEXT)
    assert [(each.state, each.line) for each in decisions_in(group, piece, range(48, 60))] == [
        ("tried", "bars 57-64: 2 holds back 8 %")
    ]
    assert [each.line for each in decisions_in(group, piece, range(24, 25))] == ["bar 25: 3 leads"]
    assert decisions_in(group, piece, range(64, 70)) == decisions_in(group, piece, range(23, 24)) == ()


def test_what_is_open_comes_back_until_it_is_agreed(tmp_path: Path, piece: Piece) -> None:
    path, before = group_of(tmp_path, TEXT)
    assert [each.entry_id for each in open_matters(before, piece)] == ["s000001"]
    change_entry(path, "s000001", {"state": "agreed"})
    add_table(path, "hold", {"bar": "112", "seconds": 2.5, "state": "tried"})
    change_entry(path, "l000001", {"state": "dropped"})
    after = read_group(path)
    assert [each.line for each in open_matters(after, piece)] == ["bar 112: hold 2.5 s"]
    text = protocol(piece, date(2027, 3, 2), [WorkedOn("bars 57-64", 12)], before, after, ["bar 3: 1 leads, 2 leads"])
    assert text == (
        "# Drawn: rehearsal on 2027-03-02\n\n## Worked on\n\n- bars 57-64 (12 min)\n\n"
        "## Decided\n\n- dropped: bar 25: 3 leads\n- bars 57-64: 2 holds back 8 %\n\n"
        "## Left open\n\n- bar 112: hold 2.5 s\n- bar 3: 1 leads, 2 leads\n"
    )


def test_while_copies_disagree_what_stands_first_is_in_force(tmp_path: Path, piece: Piece) -> None:
    base = saved(TEXT)
    lead = '\n[[lead]]\nbars = "33"\nplayer = '
    copies = [base.replace("percent = 8", f"percent = {n}") + f"{lead}{n}\n" for n in (1, 2)]
    path, group = group_of(tmp_path, text_of(join([parse(copy) for copy in copies]), piece))
    assert [table.entry["percent"] for table in group_tables(group, "shape")] == [1]
    assert [table.entry["player"] for table in group_tables(group, "lead")] == [3, 1]
    assert path.read_text().count("[[lead]]") == 3

"""Copies of the group's file joined: nothing lost, in any order, and conflicts said and settled in musicians' words."""

import random
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.conflicts import Matter, conflicts, settle, settle_all, settle_both, text_of
from score.group.entry_blocks import cut_blocks
from score.group.gather import Joined, join, sides_of
from score.group.gather_files import gather_files, score_words
from score.group.group_copy import read_copy
from score.group.group_edit import change_table
from score.group.group_file import group_tables, read_group
from score.group.joined_text import joined_text
from score.piece import Piece
from tests.group.copies_edited import edited, faults, parse, played, saved, versions_of

MakePiece = Callable[..., Piece]
SHAPE = '[[shape]]\nid = "s000001"\nbars = "57-64"\nkind = "back"\npercent = 8\nby = 2\nstate = "tried"\n'
LEAD = '[[lead]]\nid = "l000001"\nbars = "25"\nplayer = 3\n'
FILE = f"# ours\n\n[[share]]\nplayers = [1, 2]\n\n# said in the first week\n{SHAPE}\n{LEAD}"


@pytest.fixture(scope="module")
def piece(make_piece: MakePiece) -> Piece:
    return make_piece("|".join(["x..."] * 116), "|".join(["x..."] * 116), "|".join(["x..."] * 116))


def of(*texts: str) -> Joined:
    return join([parse(text) for text in texts])


def lines(joined: Joined, piece: Piece) -> list[str]:
    return [conflict.line for conflict in conflicts(joined, piece)]


@pytest.mark.parametrize("seed", range(3))
def test_copies_join_in_any_order_and_nothing_is_lost(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(4):
        assert faults(played(rng).texts, rng) == []


@pytest.mark.campaign
def test_ten_thousand_edits() -> None:
    rng, edits, rounds = random.Random(20270314), 0, 0
    while edits < 10_000:
        game = played(rng)
        edits, rounds = edits + game.edits, rounds + 1
        assert faults(game.texts, rng) == [], f"round {rounds}"


def test_a_file_gathered_alone_keeps_every_letter_but_ids_and_record() -> None:
    after = saved(FILE)
    kept = re.sub(r'(?m)^id = "(?!s000001|l000001).*\n', "", after)
    assert kept.startswith(FILE)
    assert kept[len(FILE) :].startswith("\n# What inbreath gather knows")
    assert saved(after) == after


def test_a_change_stands_against_a_change_and_not_against_what_it_replaced(piece: Piece) -> None:
    base = saved(FILE)
    slower, faster = base.replace("percent = 8", "percent = 12"), base.replace("percent = 8", "percent = 4")
    assert lines(of(base, slower), piece) == []
    assert "percent = 12" in joined_text(of(base, slower))
    joined = of(slower, faster)
    assert lines(joined, piece) == ["bars 57-64: hold back 12 %, hold back 4 %"]
    assert [side.mine for side in conflicts(joined, piece)[0].sides] == [True, False]
    other = base.replace("percent = 8\nby = 2", "percent = 4\nby = 3").replace('"back"', '"forward"')
    assert lines(of(base.replace("percent = 8", "percent = 9"), other), piece) == [
        "bars 57-64: 2 holds back 9 %, 3 leans forward 4 %"
    ]


def test_words_and_music_are_apart(piece: Piece) -> None:
    base = saved(FILE)
    words = base.replace('state = "tried"\n', 'state = "tried"\ntext = "like a sigh"\n')
    joined = of(base.replace("percent = 8", "percent = 5"), words)
    assert lines(joined, piece) == []
    (shape,) = tomllib.loads(joined_text(joined))["shape"]
    assert (shape["percent"], shape["text"]) == (5, "like a sigh")
    assert lines(of(saved(words), saved(words).replace("a sigh", "a wave")), piece) == []
    both = of(words, base.replace('state = "tried"\n', 'state = "tried"\ntext = "like a wave"\n'))
    assert lines(both, piece) == ['bars 57-64: "like a sigh", "like a wave"']


def test_agreed_never_sticks_to_music_nobody_agreed_to(piece: Piece) -> None:
    base = saved(FILE)
    agreed = saved(base.replace('"tried"', '"agreed"'))
    other = base.replace("percent = 8", "percent = 4")
    assert lines(of(agreed, other), piece) == ["bars 57-64: hold back 8 % (agreed), hold back 4 % (tried)"]
    by_hand = agreed.replace("percent = 8", "percent = 4")
    for joined in (of(by_hand), of(agreed, by_hand), of(by_hand, base)):
        (shape,) = tomllib.loads(joined_text(joined))["shape"]
        assert (shape["percent"], shape["state"]) == (4, "tried")
    rng = random.Random(5)
    for _ in range(40):
        _agreed_by_somebody(rng)


def _agreed_by_somebody(rng: random.Random) -> None:
    """A model of its own: the music to which somebody set "agreed" in a file, followed through every edit."""
    texts, agreed = [saved(FILE)] * 3, set[str]()
    for _ in range(20):
        place = rng.randrange(3)
        before, texts[place] = texts[place], edited(texts[place], rng)
        if texts[place].count('"agreed"') > before.count('"agreed"'):
            agreed |= _agreed(texts[place]) - _agreed(before)
        texts[place] = saved(texts[place])
    assert _agreed(joined_text(of(*texts))) <= agreed


def _agreed(text: str) -> set[str]:
    tables = tomllib.loads(text)
    return {
        str(sorted((k, v) for k, v in entry.items() if k not in ("id", "text", "state", "by")))
        for kind in ("shape", "breath", "hold", "look", "note")
        for entry in tables.get(kind, [])
        if entry.get("state") == "agreed"
    }


def test_what_was_taken_out_stays_out_unless_somebody_changed_it(piece: Piece) -> None:
    base = saved(FILE)
    out = cut_blocks(base).remove(1).text
    assert "shape" not in tomllib.loads(joined_text(of(base, out)))
    assert "shape" not in tomllib.loads(joined_text(of(joined_text(of(out, base)), base)))
    changed = of(out, base.replace("percent = 8", "percent = 4"))
    assert lines(changed, piece) == ["bars 57-64: removed, hold back 4 %"]
    words = of(base.replace('state = "tried"\n', 'state = "tried"\ntext = "like a sigh"\n'), out)
    assert lines(words, piece) == ["bars 57-64: hold back 8 %, removed"]
    assert 'text = "like a sigh"' in joined_text(words)


def test_two_leads_at_one_place_are_a_conflict_unless_one_player_wrote_both(piece: Piece) -> None:
    base = saved("# ours\n")
    mine, theirs = (base + f'\n[[lead]]\nbars = "25"\nplayer = {n}\n' for n in (3, 2))
    joined = of(mine, theirs)
    assert lines(joined, piece) == ["bar 25: 3 leads, 2 leads"]
    (conflict,) = conflicts(joined, piece)
    assert conflict.matter is Matter.PLACE
    text = text_of(joined, piece)
    assert lines(of(text), piece) == lines(of(text, mine), piece) == ["bar 25: 3 leads, 2 leads"]
    settled = text_of(settle_both(joined, conflict), piece)
    assert lines(of(settled), piece) == lines(of(settled, text), piece) == []
    chosen = text_of(settle(joined, conflict, conflict.sides[1]), piece)
    assert [(lead["player"], lead.get("state")) for lead in tomllib.loads(chosen)["lead"]] == [
        (3, "dropped"),
        (2, None),
    ]
    together = mine + '\n[[lead]]\nbars = "25"\nplayer = 2\n'
    assert lines(of(together), piece) == lines(of(together, mine), piece) == []


def test_settling_lasts_and_settling_two_ways_is_a_conflict_again(piece: Piece) -> None:
    base = saved(FILE)
    joined = of(base.replace("percent = 8", "percent = 12"), base.replace("percent = 8", "percent = 4"))
    (conflict,) = conflicts(joined, piece)
    both = text_of(joined, piece)
    first, second = (text_of(settle(joined, conflict, side), piece) for side in conflict.sides)
    assert [shape["percent"] for shape in tomllib.loads(first)["shape"]] == [12]
    assert lines(of(first, both), piece) == lines(of(both, first, base), piece) == []
    assert lines(of(first, second), piece) == ["bars 57-64: hold back 12 %, hold back 4 %"]
    mine, theirs = (text_of(settle_all(of(both), piece, mine=each), piece) for each in (True, False))
    assert [shape["percent"] for text in (mine, theirs) for shape in tomllib.loads(text)["shape"]] == [12, 4]


def test_a_conflict_settled_by_hand_is_settled() -> None:
    base = saved(FILE)
    text = joined_text(of(base.replace("percent = 8", "percent = 12"), base.replace("percent = 8", "percent = 4")))
    places = cut_blocks(text).places("shape")
    by_hand = cut_blocks(text).remove(places[0]).text
    (shape,) = tomllib.loads(joined_text(of(by_hand, text)))["shape"]
    assert shape["percent"] == 4


def test_values_at_the_top_that_differ_keep_both(piece: Piece) -> None:
    base = saved("concert = 2027-03-14\n\n" + FILE)
    one, two = base.replace("= 2027-03-14", "= 2027-03-20"), base.replace("= 2027-03-14", "= 2027-03-21")
    text = text_of(of(one, two), piece)
    assert "concert = 2027-03-20\n" in text
    assert lines(of(text), piece) == ["concert 2027-03-20, concert 2027-03-21"]
    other = text_of(settle_all(of(text), piece, mine=False), piece)
    assert "concert = 2027-03-21\n" in other
    assert lines(of(other, one), piece) == []


def test_the_same_text_typed_twice_is_one_entry() -> None:
    typed = FILE + '\n[[note]]\nbar = "31"\ntext = "breathe"\n'
    assert len(tomllib.loads(joined_text(of(typed, typed, FILE)))["note"]) == 1


def test_an_entry_copied_by_hand_with_its_id_is_another_entry() -> None:
    text = saved(FILE) + "\n" + SHAPE.replace("57-64", "73-80")
    shapes = tomllib.loads(joined_text(of(text, FILE)))["shape"]
    assert [shape["bars"] for shape in shapes] == ["57-64", "73-80"]
    assert shapes[0]["id"] != shapes[1]["id"]


@pytest.mark.parametrize("part", range(1, 12))
def test_of_a_file_cut_anywhere_nothing_counts_as_taken_out(part: int) -> None:
    whole = saved(FILE + "".join(f'\n[[note]]\nbar = "{bar}"\ntext = "word {bar}"\n' for bar in range(1, 9)))
    entries = set(versions_of(parse(whole).entries))
    for end in range(len(whole) * (part - 1) // 12, len(whole) * part // 12, 3):
        cut = whole[:end]
        try:
            joined = join([parse(whole), read_copy(Path("cut.toml"), cut)])
        except GroupFileError:
            continue
        text = joined_text(joined)
        assert entries <= set(joined.entries)
        assert len(tomllib.loads(text)["note"]) >= 8
        alive = {k for k, entry in joined.entries.items() if any(side.text for side in sides_of(entry).values())}
        assert entries <= alive


def test_a_copy_without_history_or_ids_takes_nothing_out() -> None:
    base = saved(FILE)
    bare = re.sub(r"id = .*\n", "", base.partition("# What inbreath")[0])
    after = tomllib.loads(joined_text(of(base, bare.partition("# said in")[0])))
    assert len(after["shape"]) == len(after["lead"]) == 1
    assert len(tomllib.loads(joined_text(of(base, bare)))["share"]) == 1


def test_files_are_joined_beside_the_score_and_copies_are_left_alone(tmp_path: Path, piece: Piece) -> None:
    score, copy = tmp_path / "q.musicxml", tmp_path / "from 3.toml"
    (tmp_path / "q.group.toml").write_text(FILE)
    copy.write_text(FILE + '\n[[note]]\nbar = "31"\ntext = "breathe"\n')
    gathered = gather_files(score, piece, [copy])
    assert gathered.news == ('new: bar 31: "breathe" to all',)
    assert tomllib.loads(gathered.text)["gathered"]["the score"] == score_words(piece)
    assert (tmp_path / "q.group.toml").read_text() == FILE
    copy.write_text(gathered.text.replace("Drawn; 116 bars; 3 players", "Other; 40 bars; 3 players"))
    with pytest.raises(GroupFileError, match=r"from 3\.toml was gathered for another score \(Other; 40 bars"):
        gather_files(score, piece, [copy])
    copy.write_text("[[note\n")
    with pytest.raises(GroupFileError, match=r"from 3\.toml"):
        gather_files(score, piece, [copy])
    with pytest.raises(GroupFileError, match="No such copy"):
        gather_files(score, piece, [tmp_path / "none.toml"])


def test_while_copies_disagree_what_stands_first_is_in_force(tmp_path: Path, piece: Piece) -> None:
    base = saved(FILE)
    lead = '\n[[lead]]\nbars = "33"\nplayer = '
    copies = [base.replace("percent = 8", f"percent = {n}") + f"{lead}{n}\n" for n in (1, 2)]
    path = tmp_path / "q.group.toml"
    path.write_text(text_of(of(*(copy + f"{lead.replace('33', '41')}3\n" for copy in copies)), piece))
    assert [table.entry["percent"] for table in group_tables(read_group(path), "shape")] == [1]
    assert [table.entry["player"] for table in group_tables(read_group(path), "lead")] == [3, 1, 3]
    change_table(path, "lead", 2, {"player": 2})
    assert [table.entry["player"] for table in group_tables(read_group(path), "lead")] == [3, 1, 2]
    assert path.read_text().count("[[lead]]") == 4


def test_ones_own_side_stands_first_though_it_is_only_tried_now(piece: Piece) -> None:
    base = saved(SHAPE.replace('state = "tried"\n', ""))
    other = base.replace('"back"', '"forward"').replace("8\nby = 2", "4\nby = 3")
    text = text_of(of(base.replace("percent = 8", "percent = 9"), other), piece)
    assert lines(of(text), piece) == ["bars 57-64: 2 holds back 9 %, 3 leans forward 4 %"]

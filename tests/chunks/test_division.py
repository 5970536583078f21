"""The division against every possible one; edges, pickups, names, what comes back, the group's wishes."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from math import isclose
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.beats import Place
from score.chunks.chunk import ChunkEdits, ChunkOptions, Sameness
from score.chunks.division import Lines, best_begins, chunk_cost, cuts_at, divide
from score.chunks.from_group import chunk_edits
from score.errors import GroupFileError, RequestError
from score.group.group_file import read_group
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
OPTIONS = ChunkOptions(4.0, 8.0)


def plan_cost(lines: Lines, edits: ChunkEdits, begins: tuple[int, ...]) -> float:
    ends = (*begins[1:], len(lines.strengths))
    return sum(chunk_cost(lines, OPTIONS, edits, a, b) for a, b in zip(begins, ends, strict=True))


@settings(deadline=None, max_examples=80)
@given(st.data())
def test_no_division_is_better(data: st.DataObject) -> None:
    # Outside check: brute force over every division.
    count = data.draw(st.integers(1, 9))
    strengths = data.draw(st.lists(st.floats(0, 12), min_size=count, max_size=count))
    cuts = data.draw(st.lists(st.integers(0, 2), min_size=count, max_size=count))
    bars = data.draw(st.lists(st.sampled_from([1.0, 2.0, 3.0]), min_size=count, max_size=count))
    inner = range(1, count)
    begins = data.draw(st.sets(st.sampled_from(inner), max_size=2)) if count > 1 else set()
    joined = data.draw(st.sets(st.sampled_from(inner), max_size=2)) - begins if count > 1 else set()
    starts = [sum(bars[:i]) for i in range(count + 1)]
    lines = Lines((0.0, *strengths[1:]), (0, *cuts[1:]), tuple(starts))
    edits = ChunkEdits(frozenset(begins), frozenset(joined))
    plans = [(0, *inside) for size in range(count) for inside in combinations(inner, size)]
    found = best_begins(lines, OPTIONS, edits)
    best = min(plan_cost(lines, edits, plan) for plan in plans)
    assert isclose(plan_cost(lines, edits, found), best, rel_tol=1e-9, abs_tol=1e-9)
    assert begins <= set(found)
    assert not joined & set(found)


def test_the_sample_divides_at_its_marks() -> None:
    piece = read_score(SAMPLES / "quartet.musicxml").piece
    chunks = divide(piece)
    firsts = {chunk.first for chunk in chunks}
    assert {bar.index for bar in piece.bars if bar.rehearsal_mark} <= firsts
    assert [bar for chunk in chunks for bar in chunk.bars] == list(range(len(piece.bars)))
    by_first = {chunk.first: chunk for chunk in chunks}
    assert by_first[16].name == "B"
    assert by_first[48].name == "C+8"
    assert all(chunk.because for chunk in chunks if chunk.first)


def test_no_chunk_begins_inside_a_tied_note(make_piece) -> None:
    piece = make_piece("|xxxx|x---|----|--xx|xxxx|xxxx|", "|x...|x...|x...|x...|x...|x...|")
    assert cuts_at(piece) == [0, 0, 1, 1, 0, 0]
    for chunk in divide(piece, ChunkOptions(2.0, 4.0)):
        assert chunk.first not in (2, 3)


def test_a_chunk_starts_with_its_pickup(make_piece) -> None:
    piece = make_piece("|x...|x...|x...|...x|xxxx|xxxx|", "|x...|x...|x...|....|x.x.|x.x.|", marks={4: "B"})
    chunk = next(c for c in divide(piece, ChunkOptions(4.0, 8.0)) if c.first == 4)
    assert chunk.start == Place(3, Fraction(3))


def test_running_notes_are_no_pickup(make_piece) -> None:
    piece = make_piece("|xxxx|xxxx|xxxx|xxxx|xxxx|xxxx|", marks={4: "B"})
    chunk = next(c for c in divide(piece, ChunkOptions(4.0, 8.0)) if c.first == 4)
    assert chunk.start == Place(4, Fraction(0))


def test_what_comes_back_is_recognised(make_piece) -> None:
    line = "|0123|4567|x.x.|x.x.|0123|4567|3210|7654|"
    piece = make_piece(line, marks={2: "B", 4: "C", 6: "D"})
    chunks = {c.first: c for c in divide(piece, ChunkOptions(3.0, 5.0))}
    assert (chunks[4].same_first, chunks[4].sameness) == (0, Sameness.EXACT)
    assert chunks[4].as_bars(piece) == "as bars 1-2"
    assert (chunks[6].same_first, chunks[6].sameness) == (0, Sameness.RHYTHM)
    assert chunks[2].same_first is None


def test_lengths_that_cannot_be_are_refused(make_piece) -> None:
    with pytest.raises(RequestError, match="30 to 20"):
        divide(make_piece("|xxxx|"), ChunkOptions(30, 20))


def edits_of(tmp_path: Path, text: str) -> ChunkEdits:
    path = tmp_path / "quartet.group.toml"
    path.write_text(text)
    return chunk_edits(read_group(path), read_score(SAMPLES / "quartet.musicxml").piece)


def test_the_group_pins_splits_merges_and_moves(tmp_path: Path) -> None:
    piece = read_score(SAMPLES / "quartet.musicxml").piece
    edits = edits_of(
        tmp_path,
        '[[chunk]]\nbars = "17-24"\n[[chunk]]\nsplit = "69"\n[[chunk]]\nmerge = "49"\n'
        '[[chunk]]\nmove = "97"\nto = "98"\n',
    )
    chunks = divide(piece, edits=edits)
    firsts = {chunk.first for chunk in chunks}
    assert {16, 24, 68, 97} <= firsts
    assert not {48, 96} & firsts
    assert next(c for c in chunks if c.first == 16).last == 23
    assert next(c for c in chunks if c.first == 68).because[0].rule == "asked for"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[chunk]]\nbars = "110-140"\n', "140"),
        ('[[chunk]]\nsplit = "Z"\n', "Z"),
        ("[[chunk]]\n", "one of bars, split, merge or move"),
        ('[[chunk]]\nsplit = "20"\n[[chunk]]\nmerge = "20"\n', "bar 20"),
        ('[[lead]]\nbars = "17-20"\nplayer = 7\n', "player 7"),
    ],
)
def test_wishes_that_cannot_hold_are_one_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(GroupFileError, match=said) as caught:
        edits_of(tmp_path, text)
    assert "\n" not in caught.value.line


def test_a_piece_of_one_bar_is_one_chunk(make_piece) -> None:
    (chunk,) = divide(make_piece("|xxxx|"))
    assert (chunk.first, chunk.last) == (0, 0)
    assert replace(chunk, index=0) == chunk

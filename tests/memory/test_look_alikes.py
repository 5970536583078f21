"""Look-alikes against going through every pair of passages, over samples and real quartets."""

from collections.abc import Callable
from pathlib import Path

import music21
import pytest

from score.memory.bar_contents import Contents
from score.memory.explain import families_text
from score.memory.families import counting_traps, families
from score.memory.look_alikes import look_alikes
from score.piece import Piece, Player
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
SCORES = [
    SAMPLES / "quartet.musicxml",
    SAMPLES / "trio-ids.musicxml",
    CORPUS / "mozart" / "k80" / "movement3.mxl",
    pytest.param(CORPUS / "haydn" / "opus74no1" / "movement3.mxl", marks=pytest.mark.campaign),
    pytest.param(CORPUS / "mozart" / "k155" / "movement2.mxl", marks=pytest.mark.campaign),
]


def _near(contents: Contents, first: int, second: int) -> bool | None:
    """None where both bars are empty."""
    here, there = dict(contents.bars[first]), dict(contents.bars[second])
    if contents.piece.bars[first].length != contents.piece.bars[second].length or bool(here) != bool(there):
        return False
    places = here.keys() | there.keys()
    return 3 * sum(here.get(at) != there.get(at) for at in places) <= len(places) if places else None


def _every(piece: Piece, player: Player) -> set[tuple[int, int, int]]:
    """Every pair of passages, and of these the ones that nothing longer holds."""
    contents, count = Contents(piece, player), len(piece.bars)
    table = {(i, j): _near(contents, i, j) for i in range(count) for j in range(i + 1, count)}
    every = set()
    for (i, j), near in table.items():
        length = 1
        while near is True and j + length <= count and table.get((i + length - 1, j + length - 1)) is not False:
            if table[i + length - 1, j + length - 1] is True:
                every.add((i, j, length))
            length += 1
    return {(i, j, length) for i, j, length in every if 2 <= length <= j - i and not _grows(every, table, i, j, length)}


def _grows(every: set[tuple[int, int, int]], table: dict[tuple[int, int], bool | None], i: int, j: int, n: int) -> bool:
    return any(
        (i - back, j - back, n + back + on) in every
        for back in range(i + 1)
        for on in range(40)
        if back + on and table.get((i - back, j - back)) is True
    )


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_all_and_only_the_longest_are_there(path: Path) -> None:
    piece = read_score(path).piece
    for player in piece.players:
        ours = {(pair.first, pair.second, pair.length) for pair in look_alikes(piece, player)}
        assert ours == _every(piece, player)


def test_a_family_has_a_line_an_occurrence_and_a_column_where_they_part(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0123|4567|0123|4569|....|0123|4567|7777|0123|4569|3333")
    player = piece.players[0]
    text = families_text(piece, player, families(piece, player), counting_traps(piece, player))
    assert "passages of 2 bars part inside and meet again" in text
    assert "2: G4 on 4" in text  # 67 is G4, the seventh step over C4 (MIDI 1.0: 60 is middle C)
    assert "4: A4 on 4" in text


def test_how_many_times_a_bar_comes(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0123|0123|0123|7...|0123|0123|0123|0123|....")
    (trap,) = counting_traps(piece, piece.players[0])
    assert trap.times == ((0, 3), (4, 4))


def test_a_passage_a_third_higher_is_shown_when_asked(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0123|3210|0202|9...|4567|7654|4646|....")
    player = piece.players[0]
    assert not look_alikes(piece, player)
    (pair,) = look_alikes(piece, player, transposed=True)
    assert (pair.first, pair.second, pair.length, pair.semitones) == (0, 4, 3, 4)

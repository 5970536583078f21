"""Look-alikes against going through every pair of passages, over samples and real quartets."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import music21
import pytest

from score.memory.bar_contents import Contents
from score.memory.explain import families_text, shifted_words
from score.memory.families import counting_traps, families
from score.memory.half_bars import shifted_look_alikes, shifted_worth_knowing
from score.memory.look_alikes import look_alikes
from score.piece import Piece, Player
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
SHIFTED = "0123|4567|....|99..|7701|2345|6799|...."
"""The first two bars come again from the middle of the fifth on."""
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


def _cut(contents: Contents, bar: int, late: bool) -> dict[Fraction, object] | None:
    """What is struck in a bar's time from its beginning or its middle on; None where that is no bar's length."""
    bars = contents.piece.bars
    length = bars[bar].length
    if not late:
        return dict(contents.bars[bar])
    beats = length / bars[bar].meter.beat
    if bar + 1 == len(bars) or bars[bar + 1].length != length or bars[bar].meter.length != length or beats % 2:
        return None
    strokes = {bars[k].start + at: what for k in (bar, bar + 1) for at, what in contents.bars[k]}
    middle = bars[bar].start + length / 2
    return {at - middle: what for at, what in strokes.items() if middle <= at < middle + length}


def _near_late(contents: Contents, i: int, j: int) -> bool:
    here, there = _cut(contents, i, late=False), _cut(contents, j, late=True)
    if not here or not there or contents.piece.bars[i].length != contents.piece.bars[j].length:
        return False
    places = here.keys() | there.keys()
    return 3 * sum(here.get(at) != there.get(at) for at in places) <= len(places)


@pytest.mark.parametrize("path", [*SCORES[1:3], SHIFTED], ids=str)
def test_half_bar_shifts_are_all_and_only_those_of_every_pair(
    path: Path | str, make_piece: Callable[..., Piece]
) -> None:
    piece = make_piece(path) if isinstance(path, str) else read_score(path).piece
    count = len(piece.bars)
    for player in piece.players:
        contents = Contents(piece, player)
        near = {(i, j) for i in range(count) for j in range(count) if _near_late(contents, i, j)}
        every = set()
        for i, j in near:
            if (i - 1, j - 1) not in near:
                length = next(n for n in range(1, count + 1) if (i + n, j + n) not in near)
                if length >= 2 and 2 * length <= abs(2 * (j - i) + 1) and not _goes_on_alike(contents, i, length):
                    every.add((i, j, length))
        ours = shifted_look_alikes(piece, player)
        assert {(pair.first, pair.second, pair.length) for pair in ours} == every
        assert all(pair.is_shifted for pair in ours)


def _goes_on_alike(contents: Contents, first: int, length: int) -> bool:
    """Whether every bar strikes the same in both its halves."""
    for bar in range(first, first + length):
        half = contents.piece.bars[bar].length / 2
        early = [(at, what) for at, what in contents.bars[bar] if at < half]
        late = [(at - half, what) for at, what in contents.bars[bar] if at >= half]
        if early != late:
            return False
    return True


def test_a_passage_from_the_middle_of_a_bar_is_said(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece(SHIFTED)
    pairs = shifted_worth_knowing(piece, piece.players[0])
    assert [(pair.first, pair.second, pair.length) for pair in pairs] == [(0, 4, 2)]
    assert shifted_words(piece, pairs[0]) == "1-2, and from the middle of 5 on"


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

"""Several stops and waits in one bar, each at its place, and what the group's file says of them."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import Group, read_group
from score.piece import Bar, Mark, MarkKind, Meter, Piece, Player, Stroke, StrokeKind, Tempo
from score.time.from_group import pulse_options
from score.time.pulse import PulseOptions, tempo_map
from score.time.stops import Stop, stop_bar, written_stops
from score.time.tempo_map import Hold

F = Fraction


def player(number: int, marks: list[tuple[int, int]], caesuras: tuple[int, ...] = ()) -> Player:
    """Quarter notes in the second of four bars, with fermatas on (start, length) and caesuras after quarters."""
    strokes = tuple(
        Stroke(1, F(at), F(length), pitches=(60,), kind=StrokeKind.STROKE, instrument=0) for at, length in marks
    )
    signs = tuple(Mark(MarkKind.FERMATA, 1, F(at)) for at, _ in marks)
    signs += tuple(Mark(MarkKind.CAESURA, 1, F(at)) for at in caesuras)
    return Player(number, str(number), str(number), (0,), ("1",), (), strokes, marks=signs)


def piece(*players: Player) -> Piece:
    meter = Meter("4/4", (F(1),) * 4, F(1))
    bars = tuple(Bar(i, str(i + 1), F(4 * i), length=F(4), meter=meter) for i in range(4))
    return Piece("T", players, bars, (0, 1, 2, 3), (Tempo(0, F(0), 60.0, low=60.0, high=60.0),))


def test_two_fermatas_in_one_bar_are_two_stops() -> None:
    two = piece(player(1, [(0, 1), (2, 1)]), player(2, [(2, 2)]))
    assert written_stops(two) == (Stop(F(4), F(5)), Stop(F(6), F(8)))
    times = tempo_map(two)
    # Common practice, no source: a fermata about doubles what it holds.
    assert times.seconds(F(5)) == pytest.approx(6.0)
    assert times.seconds(F(16)) == pytest.approx(16 + 1 + 2)


def test_the_last_of_notes_held_together_counts_and_a_caesura_after_it_belongs_to_it() -> None:
    both = piece(player(1, [(0, 4)], caesuras=(4,)), player(2, [(1, 1), (2, 2)]))
    assert written_stops(both) == (Stop(F(4), F(8), breaks_off=True),)
    assert stop_bar(both, written_stops(both)[0]) == 1


@pytest.fixture
def group(tmp_path: Path) -> Callable[[str], Group]:
    def read(text: str) -> Group:
        (tmp_path / "q.group.toml").write_text(text, encoding="utf-8")
        return read_group(tmp_path / "q.group.toml")

    return read


def test_each_hold_of_a_bar_has_its_own_length(group: Callable[[str], Group]) -> None:
    two = piece(player(1, [(0, 1), (2, 1)]))
    said = group(
        '[[hold]]\nbar = "2"\nbeat = 1\nseconds = 3\n[[hold]]\nbar = "2"\nbeat = 3\nkind = "short"\n'
        '[[hold]]\nbar = "2"\nbeat = 4.5\nkind = "wait"\nseconds = 0.25\n'
        '[[hold]]\nbar = "3"\nkind = "wait"\nstate = "dropped"\n'
    )
    options = pulse_options(said, two)
    assert options.holds == (Hold(F(5), 3.0), Hold(F(7), 0.0), Hold(F(15, 2), 0.25, before=True))
    assert tempo_map(two, options).seconds(F(16)) == pytest.approx(16 + 3 + 0.25)
    # At half the tempo everything lasts twice as long.
    assert tempo_map(two, replace(options, scale=0.5)).seconds(F(16)) == pytest.approx(2 * (16 + 3 + 0.25))
    assert tempo_map(two, replace(options, steady=60.0)).seconds(F(16)) == pytest.approx(16)


def test_a_shape_has_beats_a_top_and_a_curve(group: Callable[[str], Group]) -> None:
    said = group(
        '[[shape]]\nbars = "1-3"\nbeats = "3-2"\nkind = "forward"\npercent = 12\ntop = "2:2.5"\ncurve = 3\nplayer = 1\n'
    )
    (shape,) = pulse_options(said, piece(player(1, []))).shapes
    assert (shape.start, shape.end, shape.top, shape.curve, shape.by) == (F(2), F(10), F(11, 2), 3.0, 1)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[hold]]\nbar = "1"\n', "bar 1, where no fermata"),
        ('[[hold]]\nbar = "2"\nbeat = 4\n', "beat 4, where no fermata"),
        ('[[hold]]\nbar = "2"\nbeat = 9\n', "no beat 9"),
        ('[[hold]]\nbar = "1"\nkind = "wait"\n', "before the very first beat"),
        ('[[hold]]\nbar = "2"\n[[hold]]\nbar = "2"\nbeat = 1\n', "second hold in bar 2"),
        ('[[hold]]\nbar = "2"\nkind = "pause"\n', "'pause' is not a known hold"),
        ('[[shape]]\nbars = "2"\nbeats = "4-1"\nkind = "back"\n', "ends before it begins"),
        ('[[shape]]\nbars = "2"\nbeats = "x"\nkind = "back"\n', "names no beats"),
        ('[[shape]]\nbars = "2-3"\nkind = "top"\ntop = "4"\n', "top 4 lies outside"),
        ('[[shape]]\nbars = "2-3"\nkind = "top"\ncurve = 9\n', "curve = 9"),
    ],
)
def test_what_cannot_be_is_one_line(group: Callable[[str], Group], text: str, said: str) -> None:
    with pytest.raises(GroupFileError, match=said):
        pulse_options(group(text), piece(player(1, [(0, 1)])))


def test_nothing_is_held_where_the_options_say_so() -> None:
    held = piece(player(1, [(0, 1)]))
    assert tempo_map(held, PulseOptions(holds=(Hold(F(5), 0.0),))).seconds(F(16)) == pytest.approx(16)

"""The stage: measures of the hall, what moves and who carries, one list of gear, the van."""

import random
from dataclasses import replace
from math import hypot
from pathlib import Path

import pytest

from score.concert.concert_file import read_concert
from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_setup import ConcertSetup, concert_setup
from score.concert.concert_values import ConcertInstrument, Hall
from score.concert.moving import WALKED, moving
from score.concert.stage_moves import MOVED, OFF, ON, Move, stage_change
from score.concert.stage_plan import AROUND, StageInstrument, StagePlan, StageSpot
from score.errors import ConcertFileError, RequestError
from score.group.group_file import Group
from score.setup.fitting_rows import FITTINGS
from score.setup.floor_plan import Point
from tests.concert.conftest import spring_in
from tests.longer import longer
from tui.concert_opening import open_pieces

CORNERS = (Point(0, 0),) * 4


@pytest.fixture(scope="module")
def pieces(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tuple[ConcertPiece, ...]]:
    path = spring_in(tmp_path_factory.mktemp("spring"))
    return path, open_pieces(read_concert(path))


@pytest.fixture(scope="module")
def setup(pieces: tuple[Path, tuple[ConcertPiece, ...]]) -> ConcertSetup:
    return concert_setup(read_concert(pieces[0]), pieces[1])


def test_every_piece_stands_within_the_hall(setup: ConcertSetup) -> None:
    assert [stage.name for stage in setup.stages] == ["quartet", "study", "trio-plain"]
    for stage in setup.stages:
        points = [corner for instrument in stage.instruments for corner in instrument.corners] + [
            spot.at for spot in stage.spots
        ]
        assert all(-1e-9 <= point.x <= 10 + 1e-9 and -1e-9 <= point.y <= 7 + 1e-9 for point in points)
        xs = [point.x for point in points]
        assert min(xs) == pytest.approx(10 - max(xs))
    # The samples' group shares one marimba between two of the four: two stand on the stage.
    assert [instrument.people for instrument in setup.stages[0].instruments if instrument.kind == "marimba"] == [
        ("Ann", "Ben"),
        ("Dan",),
    ]


def test_a_hall_that_is_too_small_is_said(pieces: tuple[Path, tuple[ConcertPiece, ...]]) -> None:
    whole = read_concert(pieces[0])
    spring = replace(whole, pieces=whole.pieces[1:], hall=Hall(3.0, 7.0))
    with pytest.raises(RequestError, match=r"Hall too small: study takes \d\.\d by \d\.\d m, the hall has 3 by 7; "):
        concert_setup(spring, pieces[1][1:])
    without = concert_setup(replace(spring, hall=Hall()), pieces[1][1:])
    assert any("measures are not given" in line for line in without.warnings)
    assert without.hall.width > max(stage.wide for stage in without.stages)
    # The room around a set-up is behind it too: nobody stands on the back edge.
    deepest = max(spot.at.y for stage in without.stages for spot in stage.spots)
    assert deepest <= without.hall.depth - AROUND + 0.06


def test_the_list_holds_the_largest_number_needed_at_a_time(setup: ConcertSetup) -> None:
    gear = {item.what: item for item in setup.gear}
    assert gear["marimba"].number == 2
    assert [(use.piece, use.number) for use in gear["marimba"].uses] == [("quartet", 2), ("study", 1)]
    # One cymbal serves two pieces that are not played at once.
    assert gear["suspended cymbal"].number == 1
    assert gear["wood block"].number == 2
    assert gear["marimba"].owned is None
    assert gear["marimba"].missing == 0


def test_what_is_owned_borrowed_or_built_is_taken_off(pieces: tuple[Path, tuple[ConcertPiece, ...]]) -> None:
    text = pieces[0].read_text()
    more = '\n[[instrument]]\nname = "the old one"\nkind = "bass drum"\nfrom = "borrowed"\npieces = ["3"]\n'
    path = pieces[0].with_name("other.concert.toml")
    path.write_text(text + more)
    whole = read_concert(path)
    made = concert_setup(replace(whole, pieces=whole.pieces[1:]), pieces[1][1:])
    gear = {item.what: item for item in made.gear}
    assert (gear["bass drum"].borrowed, gear["bass drum"].missing) == (1, 0)
    assert (gear["marimba"].owned, gear["marimba"].missing, gear["marimba"].how) == (0, 1, "borrow")
    which = [instrument.which for instrument in made.stages[1].instruments if instrument.kind == "bass-drum"]
    assert which == ["the old one"]
    assert all(not instrument.which for instrument in made.stages[0].instruments)


@pytest.mark.parametrize(
    ("serve", "missing", "brought"),
    [
        longer([()], 1, 2),
        longer([(), ()], 0, 2),
        # The quartet needs two at a time and may not use what is kept for the study; that one comes along.
        ([("study",)], 2, 3),
        longer([("study",), ()], 1, 3),
        longer([("study",), (), ()], 0, 3),
        longer([("quartet",), ("quartet", "study")], 0, 2),
    ],
)
def test_what_serves_one_piece_only_is_no_help_for_another(
    pieces: tuple[Path, tuple[ConcertPiece, ...]], serve: list[tuple[str, ...]], missing: int, brought: int
) -> None:
    has = tuple(ConcertInstrument(f"no. {n}", "marimba", pieces=names) for n, names in enumerate(serve))
    made = concert_setup(replace(read_concert(pieces[0]), instruments=has), pieces[1])
    (marimba,) = [item for item in made.gear if item.what == "marimba"]
    assert (marimba.number, marimba.missing, marimba.bring) == (2, missing, brought)
    (load,) = [load for load in made.load.loads if load.what == "marimba"]
    assert load.number == brought
    # What stands on the stage is what is brought.
    stand = {i.which for stage in made.stages for i in stage.instruments if i.kind == "marimba" and i.which}
    assert len(stand) + missing == brought


def test_what_a_group_owns_is_enough_for_its_piece(pieces: tuple[Path, tuple[ConcertPiece, ...]]) -> None:
    whole = read_concert(pieces[0])
    study, trio = pieces[1][1:]
    owns = Group(Path("study.group.toml"), tables={"owned": ["wood block"]})
    made = concert_setup(replace(whole, pieces=whole.pieces[1:]), (replace(study, group=owns), trio))
    gear = {item.what: item for item in made.gear}
    assert (gear["wood block"].number, gear["wood block"].owned, gear["wood block"].missing) == (2, 2, 0)
    assert (gear["marimba"].owned, gear["marimba"].how) == (0, "borrow")


def test_what_a_group_says_of_widths_does_not_change_how_many_are_carried(
    pieces: tuple[Path, tuple[ConcertPiece, ...]],
) -> None:
    whole = read_concert(pieces[0])
    study, trio = pieces[1][1:]
    wide = Group(Path("study.group.toml"), tables={"fitting": [{"instrument": "wood block", "width": 400}]})
    spring = replace(whole, pieces=whole.pieces[1:])
    stages = [concert_setup(spring, (replace(study, group=group), trio)).stages[0] for group in (study.group, wide)]
    usual, wider = ([i for i in stage.instruments if i.kind == "wood-block"] for stage in stages)
    assert wider[0].corners != usual[0].corners
    assert (wider[0].parts, usual[0].parts) == (2, 2)


def test_a_change_takes_everything_off_that_is_not_wanted_and_brings_what_is(setup: ConcertSetup) -> None:
    before, after = setup.stages[1], setup.stages[2]
    change = setup.changes[1]
    assert sorted(move.what for move in change.moves if move.how == OFF) == sorted(t.name for t in before.instruments)
    assert sorted(move.what for move in change.moves if move.how == ON) == sorted(t.name for t in after.instruments)
    assert change.seconds == pytest.approx(max(move.begins + move.seconds for move in change.moves))
    _nobody_carries_two_things_at_once(change.moves)


def _nobody_carries_two_things_at_once(moves: tuple[Move, ...]) -> None:
    for index, one in enumerate(moves):
        for other in moves[index + 1 :]:
            if set(one.carriers) & set(other.carriers):
                apart = (
                    one.begins + one.seconds <= other.begins + 1e-9 or other.begins + other.seconds <= one.begins + 1e-9
                )
                assert apart


def _thing(kind: str, x: float, y: float, which: str = "", people: tuple[str, ...] = ()) -> StageInstrument:
    return StageInstrument(kind, kind, which, people=people, parts=1, middle=Point(x, y), turned=0.0, corners=CORNERS)


def _stage(name: str, *things: StageInstrument, people: str = "AB") -> StagePlan:
    spots = tuple(StageSpot(person, Point(0, 0), 0.0) for person in people)
    return StagePlan(name, name, things, spots=spots, wide=1.0, deep=1.0)


def test_things_of_one_kind_change_places_as_little_as_they_can() -> None:
    old = _stage("one", _thing("snare-drum", 1, 1), _thing("snare-drum", 5, 1))
    new = _stage("two", _thing("snare-drum", 5.1, 1), _thing("snare-drum", 3, 1))
    change = stage_change(Hall(8, 6), {}, old, new)
    # One stays within a hand's breadth; the other walks two metres.
    assert change.stays == ("snare-drum",)
    (move,) = change.moves
    assert (move.how, move.metres) == (MOVED, pytest.approx(2.0))
    assert change.seconds == pytest.approx(moving("snare-drum", {}).lift + 2.0 / WALKED)
    # Two that differ are not the same instrument: both go, both come.
    old = _stage("one", _thing("snare-drum", 1, 1, "deep"))
    new = _stage("two", _thing("snare-drum", 1, 1, "piccolo"))
    assert [move.how for move in stage_change(Hall(8, 6), {}, old, new).moves] == [OFF, ON]


def test_too_few_to_carry_is_said_and_more_hands_are_quicker() -> None:
    old, new = _stage("one", people="A"), _stage("two", _thing("marimba", 4, 3), _thing("vibraphone", 2, 3), people="A")
    change = stage_change(Hall(8, 6), {}, old, new)
    assert change.warnings == ("marimba takes 2 to carry, there are 1", "vibraphone takes 2 to carry, there are 1")
    helped = stage_change(Hall(8, 6, hands=("Kim", "Lou", "Max")), {}, old, new)
    assert helped.warnings == ()
    assert helped.seconds < change.seconds
    alone = stage_change(Hall(8, 6), {"marimba": {"carriers": 1}, "vibraphone": {"carriers": 1}}, old, new)
    assert alone.warnings == ()


@pytest.mark.parametrize("seed", range(5))
def test_a_change_takes_no_less_than_its_work_and_no_longer_than_twice_the_best(seed: int) -> None:
    """Bounds of any schedule: the work shared out evenly and the longest move from below; from above the work that is
    left over where a move waits for its carriers (Graham 1969, for moves that one carries)."""
    chance = random.Random(seed)
    kinds = ["snare-drum", "tom-toms", "crotales", "gong", "congas", "glockenspiel"]
    old = _stage("one", *(_thing(chance.choice(kinds), chance.uniform(0, 8), 3) for _ in range(6)), people="ABC")
    new = _stage("two", *(_thing(chance.choice(kinds), chance.uniform(0, 8), 3) for _ in range(6)), people="ABD")
    change = stage_change(Hall(8, 6), {}, old, new)
    work = [move.seconds * len(move.carriers) for move in change.moves]
    least = max(sum(work) / 4, max(move.seconds for move in change.moves))
    assert least - 1e-9 <= change.seconds <= 2 * least
    _nobody_carries_two_things_at_once(change.moves)
    assert {name for move in change.moves for name in move.carriers} <= set("ABCD")


def test_every_instrument_has_figures_of_moving_and_a_concert_changes_them() -> None:
    for line in FITTINGS.strip().splitlines():
        key, how = (word.strip() for word in line.split(";")[:2])
        row = moving(key, {})
        assert row.kind == key
        assert (row.carriers >= 1) == (how != "body")
        assert row.weight >= 0
    assert moving("marimba", {"marimba": {"weight": 70.0, "carriers": 3.0}})[1:3] == (70.0, 3)


def test_metres_and_seconds_agree(setup: ConcertSetup) -> None:
    for change in setup.changes:
        for move in change.moves:
            assert move.metres == pytest.approx(hypot(move.end.x - move.start.x, move.end.y - move.start.y))
            assert move.seconds > 0


def test_people_and_parts_have_to_fit(pieces: tuple[Path, tuple[ConcertPiece, ...]]) -> None:
    path = pieces[0].with_name("few.concert.toml")
    path.write_text(pieces[0].read_text().replace('["Ann", "Dan"]', '["Ann"]'))
    with pytest.raises(ConcertFileError, match="study has 2 parts, people names 1; name one for each: 1 Player 1, 2"):
        open_pieces(read_concert(path))
    path.write_text(pieces[0].read_text() + '\n[[instrument]]\nkind = "marimbaa"\n')
    with pytest.raises(ConcertFileError, match=r'\[\[instrument\]\] kind = "marimbaa" is not known; the scores have'):
        open_pieces(read_concert(path))
    path.write_text(pieces[0].read_text().replace("study.musicxml", "duo.musicxml"))
    with pytest.raises(ConcertFileError, match=r'score = "duo\.musicxml" is not there; correct its path'):
        open_pieces(read_concert(path))

"""The floor plan: nothing overlaps, who stands where, sight lines, the group's own places."""

from dataclasses import replace
from itertools import combinations
from math import hypot
from pathlib import Path

import pytest

from score.group.group_file import Group, read_group
from score.piece import Piece
from score.reading import read_score
from score.setup.bar_geometry import length_mm
from score.setup.floor_picture import extent, floor_picture
from score.setup.floor_plan import Box, Point
from score.setup.setup_check import SetupReport, check
from score.setup.stations import SetUp, Station, set_up

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


@pytest.fixture(scope="module")
def report(piece: Piece) -> SetupReport:
    return check(piece, read_group(SAMPLES / "quartet.group.toml"))


def apart(one: Box, two: Box) -> bool:
    """Separating axes: two rectangles do not overlap."""
    for box in (one, two):
        for a, b in zip(box.corners[:2], box.corners[1:3], strict=True):
            axis = Point(b.y - a.y, a.x - b.x)
            shadows = [[c.x * axis.x + c.y * axis.y for c in each.corners] for each in (one, two)]
            if max(shadows[0]) <= min(shadows[1]) + 1e-9 or max(shadows[1]) <= min(shadows[0]) + 1e-9:
                return True
    return False


@pytest.mark.parametrize("name", ["quartet", "trio-ids", "trio-plain", "study"])
def test_nothing_stands_in_anything_else(name: str) -> None:
    plan = check(read_score(SAMPLES / f"{name}.musicxml").piece, Group()).plan
    assert all(apart(one, two) for one, two in combinations(plan.boxes, 2))


@pytest.mark.parametrize("arrangement", ["facing", "side by side"])
@pytest.mark.parametrize("players", [[1, 2], [1, 2, 4], [2, 4]])
def test_nothing_overlaps_when_players_share(
    piece: Piece, tmp_path: Path, arrangement: str, players: list[int]
) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text(f'[[share]]\ninstrument = "marimba"\nplayers = {players}\narrangement = "{arrangement}"\n')
    plan = check(piece, read_group(path)).plan
    assert all(apart(one, two) for one, two in combinations(plan.boxes, 2))
    assert len({each.at for each in plan.standing}) == 4


def test_side_by_side_everybody_has_their_own_things_on_their_side(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text('[[share]]\ninstrument = "marimba"\nplayers = [1, 2]\narrangement = "side by side"\n')
    plan = check(piece, read_group(path)).plan
    places = {each.player: each.at for each in plan.standing}
    own = {box.key: box.corners[0] for box in plan.boxes}

    def far(player: int, key: str) -> float:
        return hypot(places[player].x - own[key].x, places[player].y - own[key].y)

    assert far(1, "triangle") < far(2, "triangle")
    assert far(2, "crotales") < far(1, "crotales")


def test_the_shared_marimba_stands_once_between_its_players(report: SetupReport) -> None:
    marimbas = [box for box in report.plan.boxes if box.key == "marimba"]
    assert sorted(box.players for box in marimbas) == [(1, 2), (4,)]
    assert all(apart(one, two) for one, two in combinations(report.plan.boxes, 2))
    shared = next(box for box in marimbas if len(box.players) == 2)
    middle = Point(sum(c.x for c in shared.corners) / 4, sum(c.y for c in shared.corners) / 4)
    places = {each.player: each for each in report.plan.standing}
    one, two = places[1], places[2]
    assert (one.at.x + two.at.x) / 2 == pytest.approx(middle.x)
    assert (one.at.y + two.at.y) / 2 == pytest.approx(middle.y)
    assert abs((one.facing - two.facing) % 360) == pytest.approx(180)


def test_measures_are_the_tables(report: SetupReport) -> None:
    shared = report.plan.boxes[0]
    assert shared.width == pytest.approx((length_mm("marimba") + 100) / 1000)
    a, b, c, _ = shared.corners
    assert hypot(a.x - b.x, a.y - b.y) == pytest.approx(shared.width)
    assert hypot(b.x - c.x, b.y - c.y) == pytest.approx(shared.depth)


def test_sight_lines_are_the_breaths_of_the_set_up(report: SetupReport) -> None:
    assert {(s.one, s.two): s.breaths for s in report.sights} == dict(report.set_up.breaths)
    facing = next(s for s in report.sights if (s.one, s.two) == (1, 2))
    assert (facing.turn, facing.words) == (0, "in sight")
    places = {each.player: each.at for each in report.plan.standing}
    for sight in report.sights:
        one, two = places[sight.one], places[sight.two]
        assert sight.metres == pytest.approx(hypot(one.x - two.x, one.y - two.y), abs=0.01)


def test_a_tam_tam_between_two_players_hides_them(piece: Piece, tmp_path: Path) -> None:
    trio = read_score(SAMPLES / "trio-ids.musicxml").piece
    path = tmp_path / "g.group.toml"
    path.write_text(
        "[[station]]\nplayer = 1\nx = -3\ny = 1\nfacing = 90\n"
        '[[station]]\nplayer = 3\norder = ["tam-tam", "bass-drum"]\nx = 0\ny = 3\nfacing = 0\n'
        "[[station]]\nplayer = 2\nx = 3\ny = 1\nfacing = 270\n"
    )
    report = check(trio, read_group(path))
    places = {each.player: each for each in report.plan.standing}
    assert places[1].facing == 90
    assert places[1].at.y == pytest.approx(1)
    tam_tam = next(box for box in report.plan.boxes if box.key == "tam-tam")
    moved = replace(report.plan, standing=(*report.plan.standing[1:],))
    assert extent(moved)[0] > 5
    assert not next(s for s in report.sights if (s.one, s.two) == (1, 2)).hidden
    path.write_text(path.read_text().replace("x = 0\ny = 3", f"x = {-sum(c.x for c in tam_tam.corners) / 4}\ny = 1"))
    hidden = next(s for s in check(trio, read_group(path)).sights if (s.one, s.two) == (1, 2))
    assert hidden.hidden == "Tam-tam"
    assert "move it" in hidden.words


def test_tall_instruments_go_to_the_end_of_the_half_circle(piece: Piece) -> None:
    left = Station(1, ("tam-tam", "bass-drum"), (1000.0, 1000.0), travel=0.0)
    asked = Station(2, ("tam-tam", "bass-drum"), (1000.0, 1000.0), travel=0.0, asked=True)
    right = Station(3, ("bass-drum", "tam-tam"), (1000.0, 1000.0), travel=0.0)
    made: SetUp = set_up(replace(piece, players=piece.players[:3]), [left, asked, right], ())
    orders = {station.player: station.order for station in made.stations}
    # A player on the audience's left has their right hand at the end of the half circle.
    first, last = made.stations[0], made.stations[-1]
    assert first.asked or first.order[-1] == "tam-tam"
    assert last.asked or last.order[0] == "tam-tam"
    assert orders[2] == ("tam-tam", "bass-drum")


def test_the_picture_holds_everybody_and_everything(report: SetupReport) -> None:
    picture = floor_picture(report.plan, report.sights)
    assert all(len(line) <= 78 for line in picture.splitlines())
    assert all(str(number) in picture for number in (1, 2, 3, 4))
    assert all(letter in picture for letter in "abcdef")
    assert picture.splitlines()[-1].strip() == "audience"
    assert "." in picture

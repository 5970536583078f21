"""Sight lines between players who enter together after a silence: how far apart, how far to turn, what is between."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import atan2, degrees

from score.setup.floor_plan import FloorPlan, PlayerSpot, Point
from score.setup.stations import TALL, SetUp

SEEN, TURNED = 60.0, 100.0
"""Degrees to either side that are seen without turning, and with turning the head (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sight:
    """One line between two players.

    Attributes:
        one, two: numbers.
        breaths: entries they make together after a silence, a hold, or at the start.
        start, end: where they stand, m.
        metres: between them.
        turn: degrees the one who has to turn more turns away from their instrument.
        hidden: name of a tall instrument between them, or "".
    """

    one: int
    two: int
    breaths: int
    start: Point
    end: Point
    metres: float
    turn: float
    hidden: str

    @property
    def words(self) -> str:
        """What it means for the two."""
        if self.hidden:
            return f"hidden behind the {self.hidden.lower()}: move it, or breathe with somebody between"
        if self.turn <= SEEN:
            return "in sight"
        return (
            "in sight with the head turned" if self.turn <= TURNED else "out of sight: turn a stand, or change places"
        )


def sights(group_set_up: SetUp, plan: FloorPlan) -> tuple[Sight, ...]:
    """The lines of a plan, the most used first."""
    standing = {each.player: each for each in plan.standing}
    lines = [
        _sight(standing[left], standing[right], count, plan)
        for (left, right), count in group_set_up.breaths
        if count and left in standing and right in standing
    ]
    return tuple(sorted(lines, key=lambda sight: (-sight.breaths, sight.one, sight.two)))


def in_everybodys_sight(lines: Iterable[Sight]) -> frozenset[int]:
    """Numbers of the players whom all can see who enter together with them, with the head turned at the most."""
    seen: dict[int, bool] = {}
    for line in lines:
        for player in (line.one, line.two):
            seen[player] = seen.get(player, True) and not line.hidden and line.turn <= TURNED
    return frozenset(player for player, is_seen in seen.items() if is_seen)


def sight_lines(group_set_up: SetUp, plan: FloorPlan) -> Iterator[str]:
    """The lines in words."""
    for sight in sights(group_set_up, plan):
        times = "entry" if sight.breaths == 1 else "entries"
        yield (
            f"{sight.one} and {sight.two}: {sight.breaths} {times} together after a silence, "
            f"{sight.metres:.1f} m apart, {sight.words}"
        )


def _sight(left: PlayerSpot, right: PlayerSpot, breaths: int, plan: FloorPlan) -> Sight:
    turn = max(_turn(left, right.at), _turn(right, left.at))
    hidden = next((b.name for b in plan.boxes if b.key in TALL and _crosses(left.at, right.at, b.corners)), "")
    metres = round(plan.metres(left.player, right.player), 2)
    return Sight(
        left.player, right.player, breaths, start=left.at, end=right.at, metres=metres, turn=round(turn), hidden=hidden
    )


def _turn(player: PlayerSpot, at: Point) -> float:
    """Degrees between where a player looks and a point."""
    towards = degrees(atan2(at.x - player.at.x, player.at.y - at.y))
    return abs((towards - player.facing + 180) % 360 - 180)


def _crosses(start: Point, end: Point, corners: tuple[Point, ...]) -> bool:
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    return any(_meet(start, end, *side) for side in sides)


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two segments cross."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, c: Point) -> float:
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)

"""The floor plan: where every instrument and player stands, in metres, and who sees whom.

The group stands in a half circle open to the audience, on the smallest radius on which the stations do not touch; the
order along it comes from `stations`. Players of one instrument stand on both sides of it ("facing"), or beside each
other along it. The group's file moves stations (`from_group`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan, cos, degrees, hypot, pi, radians, sin
from typing import NamedTuple

from score.group.group_file import Group
from score.piece import Piece
from score.setup.fittings import Fittings
from score.setup.from_group import station_place
from score.setup.kit_layout import BETWEEN, depth_of, name_of
from score.setup.sharing import Share
from score.setup.stations import TALL, SetUp, Station

STANDS_BACK = 0.35
"""Metres from an instrument's edge to the player's middle."""
_BETWEEN_STATIONS, _ARC = 0.8, radians(164)


class Point(NamedTuple):
    """A point on the floor, m: x to the audience's right, y away from the audience."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Box:
    """One instrument, or set, as it stands.

    Attributes:
        key: of the instrument.
        name: as printed.
        players: who plays it.
        width, depth: m.
        corners: in order around it.
    """

    key: str
    name: str
    players: tuple[int, ...]
    width: float
    depth: float
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class PlayerSpot:
    """Where a player stands, and where they look: degrees, 0 at the audience, 90 to the audience's right.

    `behind` is the key of the instrument they strike from its far side, "" for none.
    """

    player: int
    at: Point
    facing: float
    behind: str = ""


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """Everything on the floor; players in the order of their stations."""

    boxes: tuple[Box, ...]
    standing: tuple[PlayerSpot, ...]

    def points(self) -> list[Point]:
        """Every corner and player."""
        return [*(corner for box in self.boxes for corner in box.corners), *(each.at for each in self.standing)]

    def metres(self, number: int, other: int) -> float:
        """Metres between two players."""
        places = {each.player: each.at for each in self.standing}
        return hypot(places[number].x - places[other].x, places[number].y - places[other].y)


class _Stance(NamedTuple):
    """A station's middle, and where the player behind it looks, degrees."""

    middle: Point
    facing: float

    def at(self, right: float, ahead: float) -> Point:
        """The point so many metres to that player's right and ahead."""
        angle = radians(self.facing)
        look = sin(angle), -cos(angle)
        return Point(
            self.middle.x + look[0] * ahead + look[1] * right, self.middle.y + look[1] * ahead - look[0] * right
        )


class _PlacedInstrument(NamedTuple):
    """An instrument before it is placed: how far right and ahead of the station's middle it stands, m."""

    key: str
    name: str
    players: tuple[int, ...]
    width: float
    depth: float
    right: float
    ahead: float


@dataclass(frozen=True, slots=True)
class _Slot:
    """Stations that stand as one: things, and players with (right, ahead, turned round)."""

    things: tuple[_PlacedInstrument, ...]
    players: tuple[tuple[int, float, float, bool], ...]

    @property
    def reach(self) -> tuple[float, float]:
        """How far it goes to either side of its middle, m."""
        lefts = [placed.right - placed.width / 2 for placed in self.things] or [-0.3]
        rights = [placed.right + placed.width / 2 for placed in self.things] or [0.3]
        return -min(lefts), max(rights)


def floor_plan(
    piece: Piece, group: Group, group_set_up: SetUp, shares: Sequence[Share], fittings: Fittings
) -> FloorPlan:
    """The plan of a set-up.

    Raises:
        GroupFileError: a place in the group's file that is no figure.
    """
    slots = list(_slots(piece, group_set_up, shares, fittings))
    boxes: list[Box] = []
    standing: list[PlayerSpot] = []
    for slot, proposed in zip(slots, _frames(slots), strict=True):
        frame = _moved(group, slot, proposed)
        boxes += [_box(frame, placed) for placed in slot.things if placed.width]
        for number, right, ahead, turned in slot.players:
            behind = slot.things[0].key if turned else ""
            standing.append(
                PlayerSpot(number, frame.at(right, ahead), (frame.facing + 180 * turned) % 360, behind=behind)
            )
    return FloorPlan(tuple(boxes), tuple(standing))


def _slots(piece: Piece, group_set_up: SetUp, shares: Sequence[Share], fittings: Fittings) -> Iterator[_Slot]:
    stations = {station.player: station for station in group_set_up.stations}
    done: set[int] = set()
    for station in group_set_up.stations:
        if station.player in done:
            continue
        share = next((s for s in shares if station.player in s.players and s.instrument in station.order), None)
        together = _out_to_in(group_set_up, [n for n in share.players if n not in done]) if share else [station.player]
        done |= set(together)
        yield _slot(piece, [stations[number] for number in together], share, fittings)


def _out_to_in(group_set_up: SetUp, together: Sequence[int]) -> list[int]:
    """Who breathes most with the others stands outside, where they see the group; who stands opposite turns away."""
    counts = dict.fromkeys(together, 0)
    for pair, breaths in group_set_up.breaths:
        for number in pair:
            if number in counts and not set(pair) <= set(together):
                counts[number] += breaths
    return sorted(together, key=lambda number: (-counts[number], number))


def _slot(piece: Piece, stations: Sequence[Station], share: Share | None, fittings: Fittings) -> _Slot:
    """The first player's line with the shared instrument in the middle; a player opposite has the rest at hand."""
    main = share.instrument if share else _widest(stations[0])
    depth = depth_of(main, fittings)
    players = tuple(station.player for station in stations)
    instruments = [
        _PlacedInstrument(
            main,
            name_of(piece.player(players[0]), main),
            players,
            width=_width(stations[0], main),
            depth=depth,
            right=0.0,
            ahead=0.0,
        )
    ]
    standing = []
    facing = share is not None and share.arrangement == "facing"
    if not facing:
        stations = sorted(stations, key=lambda station: _lean(station, main))
    width, ends = instruments[0].width, [0.0, 0.0]
    for index, station in enumerate(stations):
        turned = facing and index % 2 == 1
        along = 0.0 if len(stations) == 1 or (facing and len(stations) == 2) else (index + 0.5) / len(stations) - 0.5
        ahead = (depth / 2 + STANDS_BACK) * (1 if turned else -1)
        standing.append((station.player, along * width, ahead, turned))
        instruments += _beside(piece, station, main, width / 2, depth, turned, ends, fittings)
    return _Slot(tuple(instruments), tuple(standing))


def _lean(station: Station, main: str) -> int:
    """How many more of a player's instruments stand to the right of the main one than to its left."""
    at = station.order.index(main) if main in station.order else 0
    return len(station.order) - 1 - 2 * at


def _beside(
    piece: Piece,
    station: Station,
    main: str,
    half: float,
    depth: float,
    turned: bool,
    ends: list[float],
    fittings: Fittings,
) -> Iterator[_PlacedInstrument]:
    """A player's other instruments to the left and right of the main one; `ends` is what is taken there already."""
    at = station.order.index(main) if main in station.order else 0
    sides = ((-1, station.order[:at][::-1]), (1, station.order[at + 1 :]))
    for side, keys in sides:
        taken = 0.0 if turned else ends[side > 0]
        for key in keys:
            width, own = _width(station, key), depth_of(key, fittings)
            right = side * (half + taken + BETWEEN / 1000 + width / 2)
            taken += BETWEEN / 1000 + width
            # Opposite the line a player's own things stand on their side of it, out of the first player's way.
            ahead = (depth + own) / 2 if turned else 0.0
            name = name_of(piece.player(station.player), key)
            yield _PlacedInstrument(
                key, name, (station.player,), width=width, depth=own, right=-right if turned else right, ahead=ahead
            )
        if not turned:
            ends[side > 0] = taken


def _width(station: Station, key: str) -> float:
    return dict(zip(station.order, station.widths, strict=True)).get(key, 0.0) / 1000


def _widest(station: Station) -> str:
    """Where a player stands: at the widest instrument that can be seen over."""
    wide = {key: _width(station, key) for key in station.order}
    return max(station.order, key=lambda key: (key not in TALL, wide[key])) if station.order else ""


def _frames(slots: Sequence[_Slot]) -> Iterator[_Stance]:
    """Along the half circle from the audience's left to its right, each looking at its middle."""
    radius = _radius(slots)
    inner = max(0.3, radius - 0.6)
    spans = [[atan((end + _BETWEEN_STATIONS / 2) / inner) for end in slot.reach] for slot in slots]
    angle = pi / 2 + sum(map(sum, spans)) / 2
    for left, right in spans:
        # A player who looks at the middle has their right hand on the audience's left.
        angle -= right
        yield _Stance(Point(radius * cos(angle), radius * sin(angle)), (degrees(angle) + 270) % 360)
        angle -= left


def _radius(slots: Sequence[_Slot]) -> float:
    """The smallest radius, m, on which the stations fill the arc without touching at their inner edges."""
    low, high = 1.2, 100.0
    for _ in range(50):
        radius = (low + high) / 2
        taken = sum(atan((end + _BETWEEN_STATIONS / 2) / (radius - 0.6)) for slot in slots for end in slot.reach)
        low, high = (radius, high) if taken > _ARC else (low, radius)
    return high


def _moved(group: Group, slot: _Slot, frame: _Stance) -> _Stance:
    """The frame the group's file gives the first of a slot's players it names."""
    numbers = {number for number, *_ in slot.players}
    x, y, facing = station_place(group, numbers, frame.middle.x, frame.middle.y, frame.facing)
    return _Stance(Point(x, y), facing)


def _box(frame: _Stance, placed: _PlacedInstrument) -> Box:
    half, deep = placed.width / 2, placed.depth / 2
    corners = tuple(
        frame.at(placed.right + half * right, placed.ahead + deep * ahead)
        for right, ahead in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )
    return Box(placed.key, placed.name, placed.players, width=placed.width, depth=placed.depth, corners=corners)

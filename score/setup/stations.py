"""Where everybody stands, and in which order a player's instruments lie so that changes travel least.

A player's instruments lie in a line in front of them; the order is found by trying every one (seven instruments at the
most, beyond that the score's order with neighbours exchanged while that helps). The group stands in a half circle so
that players who breathe together most stand where they see each other; players of one instrument face each other
across it or stand side by side. Widths from `bar_geometry` and `fittings`; the group's file may
give an order (`from_group`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, permutations

from score.activity.breath import breath_entries
from score.group.group_file import Group
from score.piece import Piece, Player
from score.setup.fittings import Fittings
from score.setup.from_group import check_stations, station_order
from score.setup.instrument_changes import changes_of
from score.setup.kit_layout import BETWEEN, kind_of, sets_of
from score.setup.sharing import Share
from score.time.route import whole
from score.time.tempo_map import TempoMap

_MOST_EXACT = 7
TALL = frozenset({"chimes", "tam-tam", "gong", "thundersheet", "church-bells"})
"""What stands taller than a player sees over (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Station:
    """One player's place.

    Attributes:
        player: number.
        order: keys of the instruments from left to right.
        widths: of each, mm.
        travel: metres walked along them over the whole piece.
        shares_with: players on the same instrument.
        asked: the group's file gives the order.
    """

    player: int
    order: tuple[str, ...]
    widths: tuple[float, ...]
    travel: float
    shares_with: tuple[int, ...] = ()
    asked: bool = False


@dataclass(frozen=True, slots=True)
class SetUp:
    """The group's set-up.

    Attributes:
        stations: in the order players stand from left to right, as the audience sees them.
        breaths: (player, player) to how many entries they make together after a silence.
    """

    stations: tuple[Station, ...]
    breaths: tuple[tuple[tuple[int, int], int], ...]


def stations_of(
    piece: Piece, group: Group, shares: Sequence[Share], times: TempoMap, fittings: Fittings
) -> list[Station]:
    """Each player's instruments in their order, in the order of the players.

    Raises:
        GroupFileError: an order that names an instrument the player does not have.
    """
    check_stations(group, piece)
    return [_station(piece, player, group, shares, times, fittings) for player in piece.players]


def set_up(piece: Piece, stations: Sequence[Station], shares: Sequence[Share]) -> SetUp:
    """A proposal of who stands where."""
    breaths = _breaths(piece)
    order = _in_line([station.player for station in stations], breaths, shares)
    by_number = {station.player: station for station in stations}
    placed = tuple(_tall_outside(by_number[number], 2 * i - len(order) + 1) for i, number in enumerate(order))
    return SetUp(placed, tuple(sorted(breaths.items())))


def metres_between(station: Station, piece: Piece) -> dict[tuple[int, int], float]:
    """(instrument, instrument) to metres between their near edges at a station: what a player has to walk.

    Where along a long instrument the player stands is not counted: a change is prepared at its near end.
    """
    keys = [kind_of(instrument) for instrument in piece.player(station.player).instruments]
    widths = dict(zip(station.order, station.widths, strict=True))
    middles = _middles(station.order, widths)

    def edges(left: str, right: str) -> float:
        return max(0.0, abs(middles[left] - middles[right]) - (widths[left] + widths[right]) / 2)

    return {(a, b): edges(keys[a], keys[b]) / 1000 for a in range(len(keys)) for b in range(len(keys)) if a != b}


def _station(
    piece: Piece, player: Player, group: Group, shares: Sequence[Share], times: TempoMap, fittings: Fittings
) -> Station:
    sets = sets_of(player, fittings)
    widths = {key: here.width for key, here in sets.items()}
    counts: dict[tuple[str, str], int] = {}
    for change in changes_of(piece, player, times):
        pair = kind_of(player.instruments[change.before]), kind_of(player.instruments[change.after])
        counts[pair] = counts.get(pair, 0) + 1
    asked = station_order(player, group, tuple(sets))
    order = asked or best_order(tuple(sets), widths, counts)
    travel = travel_mm(order, widths, counts) / 1000
    others = tuple(n for s in shares if player.number in s.players for n in s.players if n != player.number)
    return Station(
        player.number, order, tuple(widths[key] for key in order), travel=travel, shares_with=others, asked=bool(asked)
    )


def _tall_outside(station: Station, side: int) -> Station:
    """The mirrored order travels as little; where it takes tall instruments out of the sight lines it is better.

    Args:
        station: to turn round, unless the group gave its order.
        side: below 0 on the audience's left, where a player's right hand is at the end of the half circle; above 0 on
            the audience's right.
    """
    last = len(station.order) - 1
    lean = sum(2 * i - last for i, key in enumerate(station.order) if key in TALL)
    if station.asked or lean * side <= 0:
        return station
    return replace(station, order=station.order[::-1], widths=station.widths[::-1])


def best_order(keys: Sequence[str], widths: dict[str, float], counts: dict[tuple[str, str], int]) -> tuple[str, ...]:
    """The order from left to right with the least travel."""
    if len(keys) <= _MOST_EXACT:
        return min(permutations(keys), key=lambda order: (travel_mm(order, widths, counts), order))
    order = list(keys)
    improved = True
    while improved:
        improved = False
        for i in range(len(order) - 1):
            other = [*order[:i], order[i + 1], order[i], *order[i + 2 :]]
            if travel_mm(other, widths, counts) < travel_mm(order, widths, counts):
                order, improved = other, True
    return tuple(order)


def travel_mm(order: Sequence[str], widths: dict[str, float], counts: dict[tuple[str, str], int]) -> float:
    """Millimetres walked along an order over all changes."""
    middles = _middles(order, widths)
    return sum(count * abs(middles[a] - middles[b]) for (a, b), count in counts.items())


def _middles(order: Sequence[str], widths: dict[str, float]) -> dict[str, float]:
    middles, reached = {}, 0.0
    for key in order:
        middles[key] = reached + widths[key] / 2
        reached += widths[key] + BETWEEN
    return middles


def _breaths(piece: Piece) -> dict[tuple[int, int], int]:
    """How often two players enter together after a silence, a hold or at the start."""
    route = whole(piece)
    breaths: dict[tuple[int, int], int] = {}
    entries = [route.at(offset)[1] for offset, _ in breath_entries(piece, route)]
    bars = {place.bar for place in entries}
    struck = {player.number: {s.place for s in player.strokes if s.bar in bars} for player in piece.players}
    for place in entries:
        here = [number for number, places in struck.items() if place in places]
        for i, a in enumerate(here):
            for b in here[i + 1 :]:
                breaths[a, b] = breaths.get((a, b), 0) + 1
    return breaths


def _in_line(players: list[int], breaths: dict[tuple[int, int], int], shares: Sequence[Share]) -> list[int]:
    """The order along the half circle: players of one instrument beside each other, then who breathes together."""

    def cost(order: Sequence[int]) -> float:
        place = {number: i for i, number in enumerate(order)}
        apart = sum(
            100 * abs(place[a] - place[b]) for s in shares for a, b in pairwise(s.players) if a in place and b in place
        )
        # Across the half circle players see each other best: neighbours see each other worst.
        seen = sum(count / max(1, abs(place[a] - place[b])) for (a, b), count in breaths.items())
        return apart + seen

    if len(players) > _MOST_EXACT:
        return players
    return list(min(permutations(players), key=lambda order: (cost(list(order)), order)))

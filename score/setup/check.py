"""The whole check in one call."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.group import Group
from score.piece import Piece, Player
from score.playback.dynamics import LEVELS, Loudness
from score.playback.pulse import tempo_map
from score.playback.tempo import TempoMap
from score.setup.changes import change_findings, mallet_findings
from score.setup.finding import Finding, Kind, Weight, grouped
from score.setup.fittings import Fittings, fittings_of
from score.setup.floor import FloorPlan, floor_plan
from score.setup.gear import Gear, gear_of
from score.setup.hands import HandLoad, dealt_passages, hand_findings, hand_loads, suggested
from score.setup.kit import kit_places
from score.setup.limits import Limits, limits_of
from score.setup.passages import Hands, numbered_from_right
from score.setup.ranges import owned_marimbas, range_findings
from score.setup.rolls import roll_findings
from score.setup.sharing import Share, shares_of, sharing_findings
from score.setup.sights import Sight, sights
from score.setup.stations import SetUp, Station, metres_between, set_up, stations_of
from score.setup.striking import Striking, strikings

CAUTIONS = {
    Kind.HEARING: "Hearing: one public-health guideline allows 4 hours at 88 dBA, 2 at 91, 1 at 94 and a quarter at "
    "100; it is called imperfect for musicians. Protect your ears, and follow local rules and qualified people.",
    Kind.LOAD: "Hands: practise in breaks, raise the load gradually, and stop on pain or numbness; qualified people "
    "come first.",
}


@dataclass(frozen=True, slots=True)
class SetupReport:
    """What the check found.

    Attributes:
        findings: grouped, the weightiest first.
        gear: what to carry.
        set_up: who stands in which order, with which instruments from left to right.
        plan: where everything stands on the floor.
        sights: lines between players who breathe together.
        shares: shared instruments.
        hands: what each hand has to do at the most, against comfortable limits.
        strikings: where each instrument is struck.
        limits: the limits in force.
        cautions: sentences to show, empty when neither loudness nor load is high.
    """

    findings: tuple[Finding, ...]
    gear: tuple[Gear, ...]
    set_up: SetUp
    plan: FloorPlan
    sights: tuple[Sight, ...]
    shares: tuple[Share, ...]
    hands: tuple[HandLoad, ...]
    strikings: tuple[Striking, ...]
    limits: Limits
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Given:
    """What every part of the check reads: the piece and the group's tables."""

    piece: Piece
    limits: Limits
    fittings: Fittings
    shares: tuple[Share, ...]
    times: TempoMap
    stations: tuple[Station, ...]
    from_right: bool

    def hands(self, player: Player) -> Hands:
        """Where everything lies for a player's hands."""
        order = next(station.order for station in self.stations if station.player == player.number)
        return Hands(
            self.piece, player, self.times, self.limits, kit_places(player, order, self.fittings), self.from_right
        )


def check(piece: Piece, group: Group) -> SetupReport:
    """Check a piece against the instruments, hands and times of a group.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    given = _given(piece, group)
    made = set_up(piece, given.stations, given.shares)
    plan = floor_plan(piece, group, made, given.shares, given.fittings)
    found, loads = [*range_findings(piece, owned_marimbas(group)), *_changes(given, plan)], []
    for player in piece.players:
        passages = dealt_passages(given.hands(player))
        found += hand_findings(player, passages, given.limits)
        found += roll_findings(piece, player, passages, given.limits)
        loads += hand_loads(player, passages, given.limits)
    for share in given.shares:
        found += sharing_findings(piece, share, given.times, given.limits)
    high = list(_loads(given))
    cautions = tuple(text for kind, text in CAUTIONS.items() if any(f.kind is kind for f in high))
    return SetupReport(
        grouped([*found, *high]), gear_of(piece, group, given.shares, given.fittings), made, plan, sights(made, plan),
        given.shares, tuple(loads), tuple(strikings(piece, given.fittings)), given.limits, cautions,
    )  # fmt: skip


def change_words(piece: Piece, group: Group) -> dict[int, list[tuple[int, Fraction, str]]]:
    """A small word for the parts where a change is tight or cannot be: player to (bar, quarters in it, words).

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    words: dict[int, list[tuple[int, Fraction, str]]] = {}
    for found in _changes(_given(piece, group), None):
        words.setdefault(found.player, []).append((found.bar, found.at, f"quick: {found.figure:.1f} s"))
    return words


def suggested_stickings(piece: Piece, group: Group, player: Player) -> dict[tuple[int, Fraction], str]:
    """A sticking for every stroke of a player that has none printed, by bar and place.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    return suggested(dealt_passages(_given(piece, group).hands(player)))


def _given(piece: Piece, group: Group) -> _Given:
    limits, fittings, shares = limits_of(group), fittings_of(group), shares_of(group, piece)
    times = tempo_map(piece)
    stations = tuple(stations_of(piece, group, shares, times, fittings))
    return _Given(piece, limits, fittings, shares, times, stations, numbered_from_right(group))


def _changes(given: _Given, plan: FloorPlan | None) -> Iterator[Finding]:
    """Changes of instrument and of mallets; without a plan nobody is called near."""
    piece, times, limits = given.piece, given.times, given.limits
    for station in given.stations:
        player, others = piece.player(station.player), (p.number for p in piece.players)
        near = {n: plan.metres(player.number, n) for n in others} if plan is not None else {}
        metres = metres_between(station, piece)
        yield from change_findings(piece, player, times, limits, given.fittings, metres, near)
        yield from mallet_findings(piece, player, times, limits, near)


def _loads(given: _Given) -> Iterator[Finding]:
    """Loudness and number of strokes where they are high."""
    piece, limits = given.piece, given.limits
    seconds = given.times.seconds(piece.length)
    for player in piece.players:
        if not player.strokes:
            continue
        loudness = Loudness(piece, player)
        loud = sum(loudness.of(stroke) >= LEVELS["f"] for stroke in player.strokes) / len(player.strokes)
        if loud >= limits.loud_share:
            text = f"{100 * loud:.0f} % of the strokes are at f or louder"
            yield _mention(Kind.HEARING, player, round(loud, 2), limits.loud_share, "share of strokes", text)
        in_ten_minutes = len(player.strokes) / max(seconds, 60.0) * 600
        if in_ten_minutes >= limits.load_strokes:
            text = f"{in_ten_minutes:.0f} strokes in ten minutes"
            yield _mention(Kind.LOAD, player, round(in_ten_minutes), limits.load_strokes, "strokes", text)


def _mention(kind: Kind, player: Player, figure: float, limit: float, unit: str, text: str) -> Finding:
    first = player.strokes[0].bar
    return Finding(kind, Weight.MENTION, player.number, first, Fraction(0), figure, limit, unit, text)

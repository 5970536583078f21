"""The whole check in one call."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.activity.dynamics import LEVELS, Loudness
from score.group.group_file import Group
from score.piece import Piece, Player
from score.setup.check_inputs import Given, changes, given_by
from score.setup.finding import Finding, Kind, Weight, grouped
from score.setup.floor_plan import FloorPlan, floor_plan
from score.setup.gear_list import Gear, gear_of
from score.setup.hand_passages import Hands, numbered_from_right
from score.setup.hands import HandLoad, dealt_passages, hand_findings, hand_loads
from score.setup.kit_layout import kit_places
from score.setup.limits import Limits
from score.setup.percussion_players import checked, plays_percussion, unchecked_lines
from score.setup.range_findings import owned_marimbas, range_findings
from score.setup.roll_findings import roll_findings
from score.setup.sharing import Share, sharing_findings
from score.setup.sight_lines import Sight, sights
from score.setup.stations import SetUp, set_up
from score.setup.striking_places import Striking, strikings
from score.setup.suggested_stickings import Suggestion, suggested

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
        unchecked: a line for every instrument that is no percussion.
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
    unchecked: tuple[str, ...] = ()


def check(piece: Piece, group: Group) -> SetupReport:
    """Check a piece against the instruments, hands and times of a group.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    unchecked, given = tuple(unchecked_lines(piece)), checked(given_by(piece, group))
    owned = owned_marimbas(group, piece)
    piece = given.piece
    made = set_up(piece, given.stations, given.shares)
    plan = floor_plan(piece, group, made, given.shares, given.fittings)
    found, loads = [*range_findings(piece, owned), *changes(given, plan)], []
    for player in piece.players:
        passages = dealt_passages(_hands(given, plan, player))
        found += hand_findings(player, passages, given.limits)
        found += roll_findings(piece, player, passages, given.limits)
        loads += hand_loads(player, passages, given.limits)
    for share in given.shares:
        found += sharing_findings(piece, share, given.times, given.limits)
    high = list(_loads(given))
    cautions = tuple(text for kind, text in CAUTIONS.items() if any(f.kind is kind for f in high))
    return SetupReport(
        grouped([*found, *high]), gear_of(piece, group, given.shares, given.fittings), made, plan, sights(made, plan),
        given.shares, tuple(loads), tuple(strikings(piece, given.fittings)), given.limits, cautions, unchecked,
    )  # fmt: skip


def suggested_stickings(piece: Piece, group: Group, player: Player) -> dict[tuple[int, Fraction], Suggestion]:
    """A sticking for every stroke of a player that has none printed, by bar and place.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    given = checked(given_by(piece, group))
    if not plays_percussion(player):
        return {}
    made = set_up(given.piece, given.stations, given.shares)
    hands = _hands(given, floor_plan(given.piece, group, made, given.shares, given.fittings), player)
    return suggested(dealt_passages(hands), hands.from_right)


def _hands(given: Given, plan: FloorPlan, player: Player) -> Hands:
    """Where everything lies for a player's hands."""
    order = next(station.order for station in given.stations if station.player == player.number)
    places = kit_places(player, order, given.fittings)
    mirrored = {each.behind for each in plan.standing if each.player == player.number}
    return Hands(given.piece, player, given.times, given.limits, places, numbered_from_right(given.group), mirrored)


def _loads(given: Given) -> Iterator[Finding]:
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

"""The whole check in one call."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.activity.dynamics import LEVELS, WrittenDynamics
from score.group.group_file import Group
from score.piece import Piece, Player
from score.setup.check_inputs import CheckInputs, changes, check_inputs
from score.setup.finding import Finding, FindingKind, Weight, grouped
from score.setup.floor_plan import FloorPlan, floor_plan
from score.setup.from_group import numbered_from_right, owned_marimbas
from score.setup.gear_list import Gear, gear_of
from score.setup.hand_motions import dealt_passages
from score.setup.hand_passages import Hands
from score.setup.hands import HandLoad, hand_findings, hand_loads
from score.setup.kit_layout import kit_places
from score.setup.limits import Limits
from score.setup.percussion_players import checked, plays_percussion, unchecked_lines
from score.setup.range_findings import range_findings
from score.setup.roll_findings import roll_findings
from score.setup.sharing import Share, sharing_findings
from score.setup.sight_lines import Sight, sights
from score.setup.stations import SetUp, set_up
from score.setup.striking_places import Striking, strikings
from score.setup.suggested_stickings import Suggestion, suggested

CAUTIONS = {
    FindingKind.HEARING: "Hearing: one public-health guideline allows 4 hours at 88 dBA, 2 at 91, 1 at 94 and "
    "a quarter at 100; it is called imperfect for musicians. Protect your ears, and follow local rules and qualified "
    "people.",
    FindingKind.LOAD: "Hands: practise in breaks, raise the load gradually, and stop on pain or numbness; qualified "
    "people come first.",
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
    unchecked, inputs = tuple(unchecked_lines(piece)), checked(check_inputs(piece, group))
    owned = owned_marimbas(group, piece)
    piece = inputs.piece
    group_set_up = set_up(piece, inputs.stations, inputs.shares)
    plan = floor_plan(piece, group, group_set_up, inputs.shares, inputs.fittings)
    findings, loads = [*range_findings(piece, owned), *changes(inputs, plan)], []
    for player in piece.players:
        passages = dealt_passages(_hands(inputs, plan, player))
        findings += hand_findings(player, passages, inputs.limits)
        findings += roll_findings(piece, player, passages, inputs.limits)
        loads += hand_loads(player, passages, inputs.limits)
    for share in inputs.shares:
        findings += sharing_findings(piece, share, inputs.times, inputs.limits)
    high = list(_loads(inputs))
    cautions = tuple(text for kind, text in CAUTIONS.items() if any(f.kind is kind for f in high))
    return SetupReport(
        grouped([*findings, *high]),
        gear_of(piece, group, inputs.shares, inputs.fittings),
        group_set_up,
        plan=plan,
        sights=sights(group_set_up, plan),
        shares=inputs.shares,
        hands=tuple(loads),
        strikings=tuple(strikings(piece, inputs.fittings)),
        limits=inputs.limits,
        cautions=cautions,
        unchecked=unchecked,
    )


def suggested_stickings(piece: Piece, group: Group, player: Player) -> dict[tuple[int, Fraction], Suggestion]:
    """A sticking for every stroke of a player that has none printed, by bar and place.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    inputs = checked(check_inputs(piece, group))
    if not plays_percussion(player):
        return {}
    group_set_up = set_up(inputs.piece, inputs.stations, inputs.shares)
    hands = _hands(inputs, floor_plan(inputs.piece, group, group_set_up, inputs.shares, inputs.fittings), player)
    return suggested(dealt_passages(hands), hands.from_right)


def _hands(inputs: CheckInputs, plan: FloorPlan, player: Player) -> Hands:
    """Where everything lies for a player's hands."""
    order = next(station.order for station in inputs.stations if station.player == player.number)
    places = kit_places(player, order, inputs.fittings)
    mirrored = {each.behind for each in plan.standing if each.player == player.number}
    from_right = numbered_from_right(inputs.group)
    return Hands(inputs.piece, player, inputs.times, inputs.limits, places, from_right, mirrored, inputs.fittings)


def _loads(inputs: CheckInputs) -> Iterator[Finding]:
    """Loudness and number of strokes where they are high."""
    piece, limits = inputs.piece, inputs.limits
    seconds = inputs.times.seconds(piece.length)
    for player in piece.players:
        if not player.strokes:
            continue
        loudness = WrittenDynamics(piece, player)
        loud = sum(loudness.of(stroke) >= LEVELS["f"] for stroke in player.strokes) / len(player.strokes)
        if loud >= limits.loud_share:
            text = f"{100 * loud:.0f} % of the strokes are at f or louder"
            yield _mention(FindingKind.HEARING, player, round(loud, 2), limits.loud_share, "share of strokes", text)
        in_ten_minutes = len(player.strokes) / max(seconds, 60.0) * 600
        if in_ten_minutes >= limits.load_strokes:
            text = f"{in_ten_minutes:.0f} strokes in ten minutes"
            yield _mention(FindingKind.LOAD, player, round(in_ten_minutes), limits.load_strokes, "strokes", text)


def _mention(kind: FindingKind, player: Player, figure: float, limit: float, unit: str, text: str) -> Finding:
    first = player.strokes[0].bar
    return Finding(
        kind, Weight.MENTION, player.number, bar=first, at=Fraction(0), figure=figure, limit=limit, unit=unit, text=text
    )

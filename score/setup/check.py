"""The whole check in one call."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.group import Group
from score.piece import Piece, Player
from score.playback.dynamics import LEVELS, Loudness
from score.playback.pulse import tempo_map
from score.setup.changes import change_findings, mallet_findings
from score.setup.finding import Finding, Kind, Weight, grouped
from score.setup.gear import Gear, gear_of
from score.setup.hands import hand_findings
from score.setup.limits import Limits, limits_of
from score.setup.ranges import owned_marimbas, range_findings
from score.setup.rolls import roll_findings
from score.setup.sharing import Share, shares_of, sharing_findings
from score.setup.stations import SetUp, metres_between, set_up

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
        set_up: who stands where.
        shares: shared instruments.
        limits: the limits in force.
        cautions: sentences to show, empty when neither loudness nor load is high.
    """

    findings: tuple[Finding, ...]
    gear: tuple[Gear, ...]
    set_up: SetUp
    shares: tuple[Share, ...]
    limits: Limits
    cautions: tuple[str, ...]


def check(piece: Piece, group: Group) -> SetupReport:
    """Check a piece against the instruments, hands and times of a group.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    limits, shares, times = limits_of(group), shares_of(group, piece), tempo_map(piece)
    placed = set_up(piece, group, shares)
    found = [*range_findings(piece, owned_marimbas(group)), *_changes(piece, placed, limits)]
    for player in piece.players:
        found += hand_findings(piece, player, times, limits)
        found += roll_findings(piece, player)
    for share in shares:
        found += sharing_findings(piece, share, times, limits)
    loads = list(_loads(piece, limits))
    found += loads
    kinds = {f.kind for f in loads}
    cautions = tuple(text for kind, text in CAUTIONS.items() if kind in kinds)
    return SetupReport(grouped(found), gear_of(piece, group, shares), placed, shares, limits, cautions)


def change_words(piece: Piece, group: Group) -> dict[int, list[tuple[int, Fraction, str]]]:
    """A small word for the parts where a change is tight or cannot be: player to (bar, quarters in it, words).

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    limits = limits_of(group)
    placed = set_up(piece, group, shares_of(group, piece))
    words: dict[int, list[tuple[int, Fraction, str]]] = {}
    for found in _changes(piece, placed, limits):
        words.setdefault(found.player, []).append((found.bar, found.at, f"quick: {found.figure:.1f} s"))
    return words


def _changes(piece: Piece, placed: SetUp, limits: Limits) -> Iterator[Finding]:
    times = tempo_map(piece)
    for station in placed.stations:
        player = piece.player(station.player)
        yield from change_findings(piece, player, times, limits, metres_between(station, piece))
        yield from mallet_findings(piece, player, times, limits)


def _loads(piece: Piece, limits: Limits) -> Iterator[Finding]:
    """Loudness and number of strokes where they are high."""
    seconds = tempo_map(piece).seconds(piece.length)
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

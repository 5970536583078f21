"""What every part of the check reads, and the changes, which the parts need too.

Light, because parts are made while the rest of the check is not loaded.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from typing import TYPE_CHECKING

from score.errors import GroupFileError
from score.group.group_file import KNOWN_TABLES, Group
from score.piece import Piece
from score.setup.finding import Finding
from score.setup.fittings import Fittings, fittings_of
from score.setup.instrument_changes import change_findings, mallet_findings
from score.setup.limits import Limits, limits_of
from score.setup.sharing import Share, shares_of
from score.setup.stations import Station, metres_between, stations_of
from score.time.pulse import tempo_map
from score.time.tempo_map import TempoMap

if TYPE_CHECKING:
    from score.setup.floor_plan import FloorPlan


TABLES = ("share", "station", "marimba", "fitting", "limits", "hands", "owned")
"""What the set-up reads."""


@dataclass(frozen=True, slots=True)
class CheckInputs:
    """The piece, the group's file and its tables.

    Attributes:
        piece: the piece.
        group: the group's file.
        limits, fittings, shares: its tables, with the usual figures where it says nothing.
        times: seconds of the piece.
        stations: where each player stands.
    """

    piece: Piece
    group: Group
    limits: Limits
    fittings: Fittings
    shares: tuple[Share, ...]
    times: TempoMap
    stations: tuple[Station, ...]


def check_inputs(piece: Piece, group: Group) -> CheckInputs:
    """What the piece and the group's file give.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    _known_tables(group)
    limits, fittings, shares = limits_of(group), fittings_of(group), shares_of(group, piece)
    times = tempo_map(piece)
    return CheckInputs(
        piece,
        group,
        limits,
        fittings=fittings,
        shares=shares,
        times=times,
        stations=tuple(stations_of(piece, group, shares, times, fittings)),
    )


def _known_tables(group: Group) -> None:
    """Refuse a table whose name is nearly one of the set-up's: what it says would go unheard."""
    for name in group.tables:
        near = get_close_matches(name, TABLES, 1, 0.75)
        if group.path is not None and name not in KNOWN_TABLES and near:
            heading = f"[{near[0]}]" if near[0] in ("limits", "hands") else f"[[{near[0]}]]"
            what = f"{group.path.name}: a table {name} is not known"
            raise GroupFileError("Group's file", what, "write owned" if near[0] == "owned" else f"write {heading}")


def changes(inputs: CheckInputs, plan: "FloorPlan | None") -> Iterator[Finding]:
    """Changes of instrument and of mallets that are tight or cannot be; without a plan nobody is called near."""
    piece, times, limits = inputs.piece, inputs.times, inputs.limits
    for station in inputs.stations:
        player, others = piece.player(station.player), (p.number for p in piece.players)
        near = {n: plan.metres(player.number, n) for n in others} if plan is not None else {}
        metres = metres_between(station, piece)
        yield from change_findings(piece, player, times, limits, inputs.fittings, metres, near)
        yield from mallet_findings(piece, player, times, limits, near)


def change_words(piece: Piece, group: Group) -> dict[int, list[tuple[int, Fraction, str]]]:
    """A small word for the parts where a change is tight or cannot be: player to (bar, quarters in it, words).

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    words: dict[int, list[tuple[int, Fraction, str]]] = {}
    for finding in changes(check_inputs(piece, group), None):
        words.setdefault(finding.player, []).append((finding.bar, finding.at, f"quick: {finding.figure:.1f} s"))
    return words

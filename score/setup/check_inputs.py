"""What every part of the check reads, and the changes, which the parts need too.

Light, because parts are made while the rest of the check is not loaded.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from score.group.group_file import Group
from score.piece import Piece
from score.setup.finding import Finding
from score.setup.fittings import Fittings
from score.setup.from_group import fittings_of, limits_of, shares_of
from score.setup.instrument_changes import change_findings, mallet_findings
from score.setup.limits import Limits
from score.setup.sharing import Share
from score.setup.stations import Station, metres_between, stations_of
from score.time.from_group import pulse_options
from score.time.pulse import tempo_map
from score.time.tempo_map import TempoMap

if TYPE_CHECKING:
    from score.setup.floor_plan import FloorPlan


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
    limits, fittings, shares = limits_of(group), fittings_of(group), shares_of(group, piece)
    times = tempo_map(piece, pulse_options(group, piece))
    return CheckInputs(
        piece,
        group,
        limits,
        fittings=fittings,
        shares=shares,
        times=times,
        stations=tuple(stations_of(piece, group, shares, times, fittings)),
    )


def changes(inputs: CheckInputs, plan: "FloorPlan | None") -> Iterator[Finding]:
    """Changes of instrument and of mallets that are tight or cannot be; without a plan nobody is called near."""
    piece, times, limits = inputs.piece, inputs.times, inputs.limits
    for station in inputs.stations:
        player, others = piece.player(station.player), (p.number for p in piece.players)
        near = {n: plan.metres(player.number, n) for n in others} if plan is not None else {}
        metres = metres_between(station, piece)
        yield from change_findings(piece, player, times, limits, inputs.fittings, metres, near)
        yield from mallet_findings(piece, player, times, limits, near)


def change_words(inputs: CheckInputs) -> dict[int, list[tuple[int, Fraction, str]]]:
    """A small word for the parts where a change is tight or cannot be: player to (bar, quarters in it, words)."""
    words: dict[int, list[tuple[int, Fraction, str]]] = {}
    for finding in changes(inputs, None):
        words.setdefault(finding.player, []).append((finding.bar, finding.at, f"quick: {finding.figure:.1f} s"))
    return words

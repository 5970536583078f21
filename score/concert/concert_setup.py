"""The concert's set-up in one call: gear, stage plans, changes, the order that saves most, the van."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from score.concert.concert_gear import ConcertGear, concert_gear
from score.concert.concert_pieces import ConcertPiece, everybody
from score.concert.concert_values import Concert, Hall
from score.concert.load_list import LoadList, load_list
from score.concert.piece_order import PieceOrder, best_piece_order, order_seconds
from score.concert.stage_moves import StageChange, stage_change
from score.concert.stage_plan import StagePlan, hall_of, stage_plan
from score.setup.setup_check import check

_BORN_WARM = 20.0
"""Degrees Celsius for which tubes are cut unless their maker said otherwise."""
_AIR = ("tubes", "boobams")


@dataclass(frozen=True, slots=True)
class ConcertSetup:
    """What the concert asks of the stage.

    Attributes:
        hall: as it is, or the least that holds every piece.
        gear: what is needed.
        stages: each piece on the stage, in the order of the concert.
        changes: after each piece but the last.
        order: the order that takes the least time to change.
        seconds: of the changes in the order that is there.
        load: the van.
        warnings: in words.
    """

    hall: Hall
    gear: tuple[ConcertGear, ...]
    stages: tuple[StagePlan, ...]
    changes: tuple[StageChange, ...]
    order: PieceOrder
    seconds: float
    load: LoadList
    warnings: tuple[str, ...]


def concert_setup(concert: Concert, pieces: Sequence[ConcertPiece]) -> ConcertSetup:
    """Gear, stage plans and changes of a concert.

    Raises:
        RequestError: the hall is smaller than a set-up.
        GroupFileError: a table of a group's file that cannot be used.
    """
    reports = [check(piece.piece, piece.group) for piece in pieces]
    hall = hall_of(concert, reports)
    stages = [stage_plan(concert, hall, piece, report) for piece, report in zip(pieces, reports, strict=True)]
    gear = concert_gear(concert, pieces, reports)
    matrix = [[stage_change(hall, concert.moving, a, b) for b in stages] for a in stages]
    seconds = [[change.seconds for change in row] for row in matrix]
    changes = tuple(matrix[index][index + 1] for index in range(len(stages) - 1))
    places = [entry.place for entry in concert.pieces]
    order = best_piece_order(seconds, _place(places, "first"), _place(places, "last"))
    return ConcertSetup(
        hall,
        gear,
        tuple(stages),
        changes=changes,
        order=order,
        seconds=order_seconds(range(len(stages)), seconds),
        load=load_list(gear, concert.moving, len(everybody(concert, pieces))),
        warnings=tuple(_warnings(concert, gear, changes)),
    )


def change_seconds(setup: ConcertSetup) -> tuple[float, ...]:
    """Seconds of each change."""
    return tuple(change.seconds for change in setup.changes)


def _place(places: Sequence[str], place: str) -> int | None:
    return places.index(place) if place in places else None


def _warnings(concert: Concert, gear: Sequence[ConcertGear], changes: Sequence[StageChange]) -> Iterator[str]:
    if not concert.hall.width or not concert.hall.depth:
        yield "The hall's measures are not given: drawn on the least stage that holds every piece."
    for change in changes:
        yield from (f"{change.after} to {change.before}: {warning}." for warning in change.warnings)
    for item in gear:
        cents = _cents(concert.hall.temperature)
        if item.key in _AIR and abs(cents) >= 1:
            way = "sharp" if cents > 0 else "flat"
            at = f"{concert.hall.temperature:g} degrees"
            yield f"At {at} {item.what} cut for {_BORN_WARM:g} sound about {abs(cents):.0f} cents {way}."


def _cents(temperature: float) -> float:
    """How much higher an air column sounds than at the usual temperature: sound is as fast as the root of kelvins."""
    from math import log2

    return 600 * log2((273.15 + temperature) / (273.15 + _BORN_WARM))

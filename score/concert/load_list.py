"""What goes into the van: every thing of the gear list with its cases and weight, the heavy ones first."""

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from score.concert.concert_gear import ConcertGear
from score.concert.moving import Changed, Moving, moving
from score.setup.fittings import TRAP_TABLE


class VanLoad(NamedTuple):
    """One line.

    Attributes:
        what: the thing.
        number: how many.
        cases: all of them pack into; below 1 where they go into a case with others.
        weight: of all, kg.
        carriers: for one.
        build: seconds to build all of them up, by as many as carry one.
        own: the concert's file gives a figure.
    """

    what: str
    number: int
    cases: float
    weight: float
    carriers: int
    build: float
    own: bool

    @property
    def whole_cases(self) -> int:
        """Cases that are carried for it; 0 where it goes into one with others."""
        return ceil(self.cases) if self.cases >= 1 else 0


class LoadList(NamedTuple):
    """The whole van.

    Attributes:
        loads: heavy first, so that they stand lowest.
        cases: whole cases, those that several things share counted together.
        weight: kg, without the cases themselves.
        build: seconds to build everything up with so many people.
    """

    loads: tuple[VanLoad, ...]
    cases: int
    weight: float
    build: float


def load_list(gear: Sequence[ConcertGear], changed: Changed, people: int) -> LoadList:
    """What goes into the van.

    Args:
        gear: of the concert.
        changed: the concert's own figures of moving.
        people: who build up.
    """
    loads = sorted((_load(item, changed) for item in gear), key=lambda load: (-load.weight / load.number, load.what))
    whole = sum(load.whole_cases for load in loads)
    small = ceil(round(sum(load.cases for load in loads if load.cases < 1), 6))
    weight = sum(load.weight for load in loads)
    return LoadList(tuple(loads), whole + small, weight, build=_build_seconds(loads, people))


def _load(item: ConcertGear, changed: Changed) -> VanLoad:
    row = _row(item, changed)
    return VanLoad(
        item.what,
        item.bring,
        row.cases * item.bring,
        weight=row.weight * item.bring,
        carriers=row.carriers,
        build=row.build * item.bring,
        own=row.own,
    )


def _row(item: ConcertGear, changed: Changed) -> Moving:
    if item.kind == "instrument":
        return moving(item.key, changed)
    if item.kind == "stand":
        return moving(item.key if item.key == TRAP_TABLE else "stand", changed)
    return moving("mallets", changed)


def _build_seconds(loads: Sequence[VanLoad], people: int) -> float:
    """Seconds until all stands, each thing built by as many as carry it, who then take the next, longest first."""
    free = [0.0] * max(1, people)
    jobs = [(load.build / load.number, max(1, load.carriers)) for load in loads for _ in range(load.number)]
    for seconds, carriers in sorted(jobs, reverse=True):
        free.sort()
        hands = min(carriers, len(free))
        ends = free[hands - 1] + seconds
        free[:hands] = [ends] * hands
    return max(free)

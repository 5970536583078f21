"""What moving an instrument takes: weight, carriers, seconds and cases; the concert's figures over the usual ones."""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import NamedTuple

from score.concert.moving_rows import MOVING
from score.setup.fittings import fitting, usual_fittings

SOURCE = "common practice, a guess"
WALKED, ROLLED = 0.8, 0.5
"""Metres a second with something in the hands, and with something on wheels (common practice, a guess)."""
OTHER_KINDS = ("stand", "trap table", "mallets")
"""What has a row beside instruments."""
_HOW = "how:"


class Moving(NamedTuple):
    """One row.

    Attributes:
        kind: key of the instrument.
        weight: kg.
        carriers: people it takes.
        roll: seconds to free it and to set its brakes; 0 where it is carried.
        lift: seconds to pick it up and to set it down.
        build: seconds to build it up out of its cases.
        cases: it packs into; below 1 where several go into one.
        own: the concert's file changes a figure.
    """

    kind: str
    weight: float
    carriers: int
    roll: float
    lift: float
    build: float
    cases: float
    own: bool = False

    def seconds(self, metres: float) -> float:
        """Seconds to bring it some metres on."""
        return self.roll + metres / ROLLED if self.roll else self.lift + metres / WALKED


Changed = Mapping[str, Mapping[str, float]]
"""Kind to the figures that the concert's file gives."""


def moving(kind: str, changed: Changed) -> Moving:
    """The row of an instrument, or of a stand, a trap table, mallets; never missing."""
    rows = _usual()
    row = rows.get(kind) or rows[f"{_HOW}{fitting(usual_fittings(), kind).how}"]
    figures = changed.get(kind, {})
    if not figures:
        return row._replace(kind=kind)
    whole = {"carriers": int(figures["carriers"])} if "carriers" in figures else {}
    return row._replace(kind=kind, own=True, **{**figures, **whole})  # type: ignore[arg-type]


def moving_lines(kinds: Iterable[str], changed: Changed) -> list[str]:
    """The rows of some instruments as lines, each with where its figures come from."""
    lines = []
    for row in (moving(kind, changed) for kind in kinds):
        how = f"roll {row.roll:g} s" if row.roll else f"lift {row.lift:g} s"
        source = "the concert's file" if row.own else SOURCE
        cases = f"{row.cases:g} case{'s' if row.cases != 1 else ''}"
        lines.append(
            f"{row.kind}: {row.weight:g} kg, {row.carriers} to carry, {how}, build {row.build:g} s, {cases}   {source}"
        )
    return lines


@lru_cache(maxsize=1)
def _usual() -> Mapping[str, Moving]:
    return {row.kind: row for row in map(_row, MOVING.strip().splitlines())}


def _row(line: str) -> Moving:
    kind, weight, carriers, roll, lift, build, cases = (item.strip() for item in line.split(";"))
    return Moving(
        kind,
        float(weight),
        int(carriers),
        roll=float(roll),
        lift=float(lift),
        build=float(build),
        cases=float(cases),
    )

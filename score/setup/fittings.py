"""How each instrument is held or mounted and where it is struck.

The group's file changes rows (`from_group`); an instrument the table does not know is taken for something on a table.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from score.setup.fitting_rows import FITTINGS, STRUCK

_SKINS = tuple(STRUCK[surface] for surface in ("drum", "large drum", "hand drum"))
WAYS = ("frame", "stand", "clamp", "hung", "table", "held", "seated", "floor", "pedal", "body")
TRAP_TABLE = "trap table"


@dataclass(frozen=True, slots=True)
class Fitting:
    """One row of the table.

    Attributes:
        key: of the instrument.
        how: held or mounted, one of `WAYS`.
        carry: what that takes, "" for nothing more.
        width: of one piece as it stands, mm; 0 for a keyboard of `geometry`.
        several: scores ask for several of different size.
        struck: where it is struck, the usual place first.
        beater: what strikes it where the score does not say.
        only: other mallets would not do.
    """

    key: str
    how: str
    carry: str
    width: float
    several: bool
    struck: tuple[str, ...]
    beater: str
    only: bool = False

    @property
    def held(self) -> bool:
        """It is held in the hands, so that mallets have to be laid down."""
        return self.how == "held"

    @property
    def rebounds(self) -> bool:
        """What strikes it comes back by itself: skins, and cymbals under sticks."""
        return self.struck in _SKINS or (self.struck == STRUCK["cymbal"] and "sticks" in self.beater)


Fittings = Mapping[str, Fitting]
"""By key; `fitting` reads it."""


@lru_cache(maxsize=1)
def usual_fittings() -> Fittings:
    """The table as it stands."""
    return {row.key: row for row in map(_row, FITTINGS.strip().splitlines())}


def fitting(fittings: Fittings, key: str) -> Fitting:
    """The row of an instrument; one that is not known lies on a table and is struck wherever it sounds."""
    row = fittings.get(key)
    return row or Fitting(
        key, "table", TRAP_TABLE, width=350.0, several=True, struck=("wherever it sounds best",), beater=""
    )


def _row(line: str) -> Fitting:
    key, how, carry, width, pieces, struck, beater = (item.strip() for item in line.split(";"))
    return Fitting(
        key,
        how,
        carry,
        width=float(width),
        several=pieces == "set",
        struck=STRUCK[struck],
        beater=beater.rstrip("!"),
        only=beater.endswith("!"),
    )

"""How far a player is with a chunk, where a player stands, and what is known of a piece opened before."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path


class Readiness(StrEnum):
    """How far a player is with a chunk, in the order they come."""

    LEARNING = "learning notes"
    UNDER_TEMPO = "under tempo"
    AT_TEMPO = "at tempo"
    BY_HEART = "by heart"

    @property
    def step(self) -> int:
        """0 for learning notes to 3 for by heart."""
        return list(Readiness).index(self)

    @property
    def share(self) -> float:
        """0 for learning notes to 1 for by heart."""
        return self.step / (len(Readiness) - 1)


AT_TEMPO = 0.95
"""From this share of the written tempo on a pass can be called at tempo."""


def counted(readiness: Readiness, tempo: float, in_sight: bool | None) -> Readiness:
    """What a pass counts as: by heart only where the own part was out of sight.

    Args:
        readiness: what the player says.
        tempo: as a share of the written tempo.
        in_sight: whether the own part was seen, None where nobody can tell.
    """
    if readiness is not Readiness.BY_HEART or not in_sight:
        return readiness
    return Readiness.AT_TEMPO if tempo >= AT_TEMPO else Readiness.UNDER_TEMPO


@dataclass(frozen=True, slots=True)
class KnownPiece:
    """A piece opened before.

    Attributes:
        digest: SHA-256 of the score's content.
        title: as printed.
        path: where it was when it was opened last.
        opened: when, UTC.
        player: number of the player who practises here, None when never said.
        bar: index of the bar where the player was last.
    """

    digest: str
    title: str
    path: Path
    opened: datetime
    player: int | None
    bar: int


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a player stands with a run of bars.

    Attributes:
        readiness: what was said last, as it counts.
        best_tempo: highest tempo of a pass said to be at least under tempo, as a share of the written
            tempo; 0 when there is none.
        passes: how many passes were rated.
        at: when the last one was, UTC.
    """

    readiness: Readiness
    best_tempo: float
    passes: int
    at: datetime

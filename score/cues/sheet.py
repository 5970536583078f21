"""What a player's cues are: who is shown over which bars, why, and who moves next."""

from enum import StrEnum
from typing import NamedTuple


class Level(StrEnum):
    """How much is cued."""

    SPARSE = "sparse"
    """Only what leads into entries."""
    USUAL = "usual"
    """Whoever moves while the player does not, entries, joins and hand-overs."""
    FULL = "full"
    """Every other player's rhythm on a line of its own."""


class Reason(NamedTuple):
    """Why a bar is cued.

    Attributes:
        rule: name of the rule in `score.cues.rules`.
        bar: index of the bar it speaks of.
        text: in words for the player, e.g. "leads you in at bar 31".
        weight: what the rule added to the choice (no unit; see `score.cues.rules`).
    """

    rule: str
    bar: int
    text: str
    weight: float


class Cue(NamedTuple):
    """One other player's rhythm over a run of bars.

    Attributes:
        source: number of the player who is shown.
        first, last: indices of the first and the last bar, both included.
        reasons: in bar order.
        next_mover: number of the player who moves next where the cue ends, or None.
        forced: the group's file asked for it.
    """

    source: int
    first: int
    last: int
    reasons: tuple[Reason, ...] = ()
    next_mover: int | None = None
    forced: bool = False

    @property
    def bars(self) -> range:
        """Indices of the bars it covers."""
        return range(self.first, self.last + 1)


class CueSheet(NamedTuple):
    """All cues of one player.

    Attributes:
        player: whose part they stand in.
        level: how much was asked for.
        cues: sorted by first bar, then source; they overlap only at `Level.FULL`.
    """

    player: int
    level: Level
    cues: tuple[Cue, ...]

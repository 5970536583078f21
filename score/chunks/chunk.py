"""What a chunk is and what it asks: frozen values."""

from dataclasses import dataclass, field
from enum import StrEnum

from score.beats import Place
from score.piece import Piece
from score.places import bars_name
from score.time.pulse import PulseOptions


class Sameness(StrEnum):
    """How a chunk's material comes back."""

    EXACT = "exact"
    """The same strokes of all players."""
    RHYTHM = "rhythm"
    """The same rhythm of all players, other pitches."""


@dataclass(frozen=True, slots=True)
class Division:
    """Why a chunk begins where it does.

    Attributes:
        rule: name of the rule in `score.chunks.rules`, or "asked for".
        text: in words.
        weight: what it added to the boundary, no unit.
    """

    rule: str
    text: str
    weight: float


@dataclass(frozen=True, slots=True)
class Chunk:
    """A run of bars to work on.

    Attributes:
        index: from 0, in score order.
        first, last: indices of its bars, both included, written order.
        start: where playing begins: the first bar, or its pickup in the bar before.
        name: the rehearsal mark it begins with or lies after ("C", "C+8"), or its bars.
        seconds: how long it lasts at the written tempo.
        because: why it begins here, the strongest reason first.
        same_first: first bar of earlier bars that it repeats, None when there are none.
        sameness: how it repeats them.
        asked: the group asked for its edges.
    """

    index: int
    first: int
    last: int
    start: Place
    name: str
    seconds: float
    because: tuple[Division, ...] = ()
    same_first: int | None = None
    sameness: Sameness | None = None
    asked: bool = False

    @property
    def bars(self) -> range:
        """Indices of its bars."""
        return range(self.first, self.last + 1)

    def as_bars(self, piece: Piece) -> str:
        """Which bars it repeats ("as bars 9-16"), or nothing."""
        if self.same_first is None:
            return ""
        words = bars_name(piece, range(self.same_first, self.same_first + len(self.bars)))
        return f"as bars {words}" if self.sameness is Sameness.EXACT else f"rhythm as bars {words}"


class DemandSide(StrEnum):
    """Whose work a demand is."""

    OWN = "own work"
    TOGETHER = "together work"


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing that a chunk asks.

    Attributes:
        kind: name of the measure in `score.chunks.demands`.
        side: own work or together work.
        value: in the unit.
        unit: what the value counts.
        bar: index of the bar where it shows most.
        text: in words.
    """

    kind: str
    side: DemandSide
    value: float
    unit: str
    bar: int
    text: str


@dataclass(frozen=True, slots=True)
class PlayerDemands:
    """What a chunk asks of one player.

    Attributes:
        player: number.
        demands: each measure that is not nothing, the weightiest first.
        own: one figure for what the player has to do alone, 0 (nothing) to 1.
    """

    player: int
    demands: tuple[Demand, ...]
    own: float


@dataclass(frozen=True, slots=True)
class ChunkDemands:
    """What a chunk asks of everybody.

    Attributes:
        chunk: index of the chunk.
        players: in the piece's order.
        group: what it asks of the group together, the weightiest first.
        together: one figure for what the group has to do together, 0 (nothing) to 1.
        leader: number of the player who leads, None when nobody stands out.
        lead: why, in words; "" when nobody does.
    """

    chunk: int
    players: tuple[PlayerDemands, ...]
    group: tuple[Demand, ...]
    together: float
    leader: int | None = None
    lead: str = ""
    needed: tuple[int, ...] = field(default=())
    """Numbers of the players who strike in it."""

    def own(self, player: int) -> float:
        """The own-work figure of a player."""
        return next((entry.own for entry in self.players if entry.player == player), 0.0)


@dataclass(frozen=True, slots=True)
class ChunkOptions:
    """How long chunks should be.

    Attributes:
        shortest, longest: seconds at the written tempo; between them no length is better than another.
    """

    shortest: float = 20.0
    longest: float = 45.0


@dataclass(frozen=True, slots=True)
class ChunkEdits:
    """What the group has decided.

    Attributes:
        begins: bars (indices) at which a chunk must begin.
        joined: bars (indices) at which none may begin.
        leads: bar index to the number of the player who leads there.
        pulse: its tempo: shapes, holds.
    """

    begins: frozenset[int] = frozenset()
    joined: frozenset[int] = frozenset()
    leads: tuple[tuple[range, int], ...] = ()
    pulse: PulseOptions = field(default_factory=PulseOptions)

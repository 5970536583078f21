"""An opened piece and what the player has chosen: what screens share. No music is decided here."""

from dataclasses import dataclass, field
from pathlib import Path

from score.group import Group
from score.piece import Piece, Player
from score.reading.result import Reading
from score.takes.history import History, Standing


@dataclass(slots=True)
class Session:
    """One opened piece.

    Attributes:
        path: the score's file.
        reading: what was read.
        group: the group's file as it was read last.
        chunks: the piece's chunks as runs of bars with their names, in order.
        history: the player's own history.
        player: number of the player who practises, 0 when not said yet.
    """

    path: Path
    reading: Reading
    group: Group
    chunks: "tuple[Chunk, ...]"
    history: History
    player: int = 0
    undo: list[object] = field(default_factory=list)

    @property
    def piece(self) -> Piece:
        """The piece."""
        return self.reading.piece

    @property
    def me(self) -> Player:
        """The player who practises; the first one until that was said."""
        return self.piece.player(self.player or self.piece.players[0].number)

    def standing(self, bars: range) -> Standing | None:
        """Where the player stands with a run of bars."""
        return self.history.standing(self.piece.digest, self.me.number, bars)


@dataclass(frozen=True, slots=True)
class Chunk:
    """A chunk as the screens show it.

    Attributes:
        bars: indices.
        name: as players call it.
        seconds: at the written tempo.
        own, together: how much it asks of the player alone and of the group, 0 to 1.
        reasons: why, in words, the weightiest first.
        leader: number of the player who leads, None when nobody stands out.
        as_bars: "as bars 9-16" when it comes back, else "".
    """

    bars: range
    name: str
    seconds: float
    own: float = 0.0
    together: float = 0.0
    reasons: tuple[str, ...] = ()
    leader: int | None = None
    as_bars: str = ""

"""An opened piece and what the player has chosen: what screens share. No music is decided here."""

from dataclasses import dataclass
from pathlib import Path

from score.chunks.chunk import Chunk as EngineChunk
from score.chunks.chunk import ChunkDemands
from score.group import Group
from score.piece import Piece, Player
from score.reading.result import Reading
from score.takes.history import History, Readiness, Standing

LETTERS = {
    Readiness.LEARNING: "l",
    Readiness.UNDER_TEMPO: "u",
    Readiness.AT_TEMPO: "t",
    Readiness.BY_HEART: "h",
}


@dataclass(frozen=True, slots=True)
class Chunk:
    """A chunk with what it asks.

    Attributes:
        chunk: the engine's chunk.
        asked: what it asks of everybody.
        again: "as bars 9-16" when it repeats, else "".
    """

    chunk: EngineChunk
    asked: ChunkDemands
    again: str


@dataclass(slots=True)
class Session:
    """One opened piece.

    Attributes:
        path: the score's file.
        reading: what was read.
        group: the group's file as it was read last.
        chunks: the piece's chunks, in order.
        history: the player's own history.
        player: number of the player who practises, 0 when not said yet.
        bar: index of the bar where the player was last.
        cautions: how many lines of the cautions for tubes have been on the screen.
    """

    path: Path
    reading: Reading
    group: Group
    chunks: tuple[Chunk, ...]
    history: History
    player: int = 0
    bar: int = 0
    cautions: int = 0

    @property
    def piece(self) -> Piece:
        """The piece."""
        return self.reading.piece

    @property
    def me(self) -> Player:
        """The player who practises; the first one until that was said."""
        return self.piece.player(self.player or self.piece.players[0].number)

    def standing(self, chunk: Chunk) -> Standing | None:
        """Where the player stands with a chunk."""
        return self.history.standing(self.piece.digest, self.me.number, chunk.chunk.bars)

    def chunk_at(self, bar: int) -> int:
        """Position of the chunk that holds a bar."""
        return next((i for i, chunk in enumerate(self.chunks) if bar in chunk.chunk.bars), 0)

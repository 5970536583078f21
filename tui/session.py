"""An opened piece, what the player has chosen, and changes to the group's file: what screens share.

No music is decided here.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from score.chunks.chunk import Chunk, ChunkDemands
from score.group.group_edit import put_back
from score.group.group_file import Group, group_path, read_group
from score.piece import Piece, Player
from score.reading.reading_result import Reading
from score.takes.history import History
from score.takes.readiness import Standing


@dataclass(frozen=True, slots=True)
class StandChunk:
    """A chunk with what it asks.

    Attributes:
        chunk: the engine's chunk.
        asked: what it asks of everybody.
        again: "as bars 9-16" when it repeats, else "".
    """

    chunk: Chunk
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
        today: positions of the chunks that one went out to practise today, in order; empty when not.
        editing: held while the group's file is changed.
    """

    path: Path
    reading: Reading
    group: Group
    chunks: tuple[StandChunk, ...]
    history: History
    player: int = 0
    bar: int = 0
    cautions: int = 0
    today: tuple[int, ...] = ()
    editing: Lock = field(default_factory=Lock, repr=False)

    @property
    def piece(self) -> Piece:
        """The piece."""
        return self.reading.piece

    @property
    def me(self) -> Player:
        """The player who practises; the first one until that was said."""
        return self.piece.player(self.player or self.piece.players[0].number)

    def standing(self, chunk: StandChunk) -> Standing | None:
        """Where the player stands with a chunk."""
        return self.history.standing(self.piece.digest, self.me.number, chunk.chunk.bars)

    def chunk_at(self, bar: int) -> int:
        """Position of the chunk that holds a bar."""
        return next((i for i, chunk in enumerate(self.chunks) if bar in chunk.chunk.bars), 0)


def chunks_of(piece: Piece, group: Group) -> tuple[StandChunk, ...]:
    """Every chunk with what it asks, in score order.

    Raises:
        GroupFileError: a wish of the group cannot hold.
    """
    from score.chunks.demands import demands
    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits

    edits = chunk_edits(group, piece)
    chunks = divide(piece, edits=edits)
    return tuple(
        StandChunk(chunk, asked, chunk.as_bars(piece))
        for chunk, asked in zip(chunks, demands(piece, chunks, edits), strict=True)
    )


def changed(
    session: Session, change: Callable[[], bytes], check: Callable[[], object] | None = None
) -> Callable[[], None]:
    """Make a change to the group's file and read it again; gives back what undoes it.

    A change that the engine then refuses is undone at once, and nothing else with it. Calls follow one another: each
    waits for the one before.

    Args:
        session: the opened piece.
        change: changes the file, gives back its bytes from before.
        check: what must hold after it besides the chunks; raises where it does not.

    Raises:
        InbreathError: the change cannot be made or cannot hold.
    """
    path = group_path(session.path)
    with session.editing:
        group, chunks = session.group, session.chunks
        before = change()
        try:
            reread(session)
            if check is not None:
                check()
        except BaseException:
            put_back(path, before)
            session.group, session.chunks = group, chunks
            raise

    def undo() -> None:
        with session.editing:
            put_back(path, before)
            reread(session)

    return undo


def reread(session: Session) -> None:
    """The group's file and the chunks that follow from it."""
    group = read_group(group_path(session.path))
    session.chunks = chunks_of(session.piece, group)
    session.group = group

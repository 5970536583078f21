"""The engine's chunks and demands as the screens show them."""

from score.group import Group
from score.piece import Piece
from tui.session import Chunk


def chunks_of(piece: Piece, group: Group) -> tuple[Chunk, ...]:
    """Every chunk with what it asks, in score order.

    Raises:
        GroupFileError: a wish of the group cannot hold.
    """
    from score.chunks.demands import demands
    from score.chunks.division import divide
    from score.chunks.edits import chunk_edits

    edits = chunk_edits(group, piece)
    chunks = divide(piece, edits=edits)
    return tuple(
        Chunk(chunk, asked, chunk.as_bars(piece))
        for chunk, asked in zip(chunks, demands(piece, chunks, edits), strict=True)
    )

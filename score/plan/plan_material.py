"""From chunks and their demands to the inputs of a plan."""

from collections.abc import Mapping, Sequence
from datetime import date

from score.activity.who_moves import activity
from score.chunks.chunk import Chunk, ChunkDemands, Sameness
from score.piece import Piece
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal

_SHARE = 1 / 3
"""Who strikes in a third of a chunk's bars or more, or leads it, is needed to rehearse it."""


def material(
    piece: Piece, chunks: Sequence[Chunk], asked: Sequence[ChunkDemands], ready: Mapping[int, float] | None = None
) -> tuple[Material, ...]:
    """The chunks as the plan sees them.

    Args:
        piece: the piece.
        chunks: its chunks.
        asked: what they ask.
        ready: chunk index to how far the group is with it, 0 to 1, where that is known.
    """
    firsts = {chunk.first: chunk.index for chunk in chunks}
    materials = []
    for chunk, demands in zip(chunks, asked, strict=True):
        same = firsts.get(chunk.same_first) if chunk.same_first is not None else None
        # Rehearsed once only where it repeats another chunk whole.
        whole = same is not None and len(chunks[same].bars) == len(chunk.bars) and chunk.sameness is Sameness.EXACT
        own = tuple((player.player, player.own) for player in demands.players)
        readiness = (ready or {}).get(chunk.index)
        needed = _needed(piece, chunk, demands)
        materials.append(
            Material(
                chunk.name,
                chunk.seconds,
                demands.together,
                own=own,
                needed=needed,
                ready=readiness,
                repeats=same if whole else None,
            )
        )
    return tuple(materials)


def inputs_of(
    piece: Piece,
    chunks: Sequence[Material],
    rehearsals: Sequence[Rehearsal],
    concert: date,
    today: date,
    minutes_a_day: Sequence[tuple[int, int]] = (),
    by_heart: Sequence[tuple[int, int]] = (),
) -> PlanInputs:
    """Everything a plan is made from."""
    players = tuple((player.number, player.name) for player in piece.players)
    return PlanInputs(
        piece.title,
        tuple(chunks),
        tuple(rehearsals),
        concert=concert,
        today=today,
        minutes_a_day=tuple(minutes_a_day),
        players=players,
        by_heart=tuple(by_heart),
    )


def _needed(piece: Piece, chunk: Chunk, demands: ChunkDemands) -> tuple[int, ...]:
    facts = activity(piece)
    needed = []
    for row, number in enumerate(facts.players):
        struck = sum(bool(facts.rows[row][bar].sounds) for bar in chunk.bars)
        if struck >= _SHARE * len(chunk.bars) or number == demands.leader:
            needed.append(number)
    return tuple(needed)

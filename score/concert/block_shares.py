"""Which pieces may have which blocks of a rehearsal, and what a way of sharing them out is worth.

A piece has one run of blocks in a rehearsal, so that it is set up once. Of all orders in which some pieces can have so
many blocks each only the best is kept: order matters for who waits between, and for who comes late or leaves, and for
nothing else.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from score.concert.evening_blocks import EveningBlocks
from score.concert.programme import ConcertEvening, Programme

IDLE, SET_UP = 0.15, 0.05
"""What a block of waiting between two others takes from a plan's worth, for each person; and each setting up. No unit,
a heuristic, on the scale of `score.plan.plan_tasks`, where the first visit to an easy chunk is worth 1."""

Blocks = tuple[int | None, ...]
"""The piece of each block, None where nobody is called."""


class BlockShare(NamedTuple):
    """One way to share out the blocks of a rehearsal.

    Attributes:
        blocks: the piece of each block.
        worth: what it adds to a plan's worth, 0 or less.
        minutes: (piece, minutes to work on it) for each of its pieces, setting up taken off.
    """

    blocks: Blocks
    worth: float
    minutes: tuple[tuple[int, int], ...]


def block_shares(programme: Programme, evening: ConcertEvening, cut: EveningBlocks) -> tuple[BlockShare, ...]:
    """Every way worth considering, the empty evening among them."""
    best: dict[tuple[tuple[int, int], ...], BlockShare] = {}
    for blocks in _sequences(programme, evening, cut, ()):
        counts = tuple(sorted((piece, blocks.count(piece)) for piece in {p for p in blocks if p is not None}))
        share = BlockShare(blocks, share_worth(programme, evening, blocks), piece_minutes(programme, cut, blocks))
        if counts not in best or share.worth > best[counts].worth:
            best[counts] = share
    return tuple(best.values())


def is_allowed(programme: Programme, evening: ConcertEvening, cut: EveningBlocks, blocks: Blocks) -> bool:
    """Whether a rehearsal can be shared out in this way: runs of blocks, nobody of a piece on the way there or home."""
    for piece, first, last in blocks_in_a_row(blocks):
        number = blocks.count(piece)
        if last - first + 1 != number or number * cut.minutes <= programme.set_up:
            return False
        if not all(_can_have(programme, evening, cut, piece, index) for index in range(first, last + 1)):
            return False
    return True


def blocks_in_a_row(blocks: Blocks) -> Iterator[tuple[int, int, int]]:
    """(piece, first block, last block) of every run of blocks."""
    for piece in dict.fromkeys(p for p in blocks if p is not None):
        here = [index for index, p in enumerate(blocks) if p == piece]
        yield piece, here[0], here[-1]


def share_worth(programme: Programme, evening: ConcertEvening, blocks: Blocks) -> float:
    """What waiting and setting up take from a plan's worth in a rehearsal."""
    return -SET_UP * len({p for p in blocks if p is not None}) - IDLE * idle_blocks(programme, evening, blocks)


def idle_blocks(programme: Programme, evening: ConcertEvening, blocks: Blocks) -> int:
    """Blocks in which somebody waits between two in which they play, summed over people."""
    people = range(len(programme.people))
    return sum(idle_between(called_blocks(programme, evening, blocks, person)) for person in people)


def idle_between(called: Sequence[int]) -> int:
    """How many blocks somebody waits who is called for these."""
    return called[-1] - called[0] + 1 - len(called) if called else 0


def called_blocks(programme: Programme, evening: ConcertEvening, blocks: Blocks, person: int) -> list[int]:
    """The blocks in which somebody who comes plays."""
    if person in evening.missing:
        return []
    return [index for index, p in enumerate(blocks) if p is not None and person in programme.pieces[p].people]


def piece_minutes(programme: Programme, cut: EveningBlocks, blocks: Blocks) -> tuple[tuple[int, int], ...]:
    """(piece, minutes to work on it), setting up taken off."""
    pieces = sorted({p for p in blocks if p is not None})
    return tuple((p, int(blocks.count(p) * cut.minutes - programme.set_up)) for p in pieces)


def _sequences(programme: Programme, evening: ConcertEvening, cut: EveningBlocks, begun: Blocks) -> Iterator[Blocks]:
    if len(begun) == cut.number:
        if is_allowed(programme, evening, cut, begun):
            yield begun
        return
    # Work first: of two ways that are worth the same, nobody comes later than need be.
    for piece in (*range(len(programme.pieces)), None):
        resumed = piece is not None and piece in begun and begun[-1] != piece
        if not resumed and (piece is None or _can_have(programme, evening, cut, piece, len(begun))):
            yield from _sequences(programme, evening, cut, (*begun, piece))


def _can_have(programme: Programme, evening: ConcertEvening, cut: EveningBlocks, piece: int, block: int) -> bool:
    """Nobody who plays in the piece comes during the block or has left; who misses the evening holds nobody up."""
    people: Sequence[int] = sorted(programme.pieces[piece].people - evening.missing)
    return bool(people) and all(evening.is_there(person, cut.begins[block], cut.ends[block]) for person in people)

"""Quick packings of sizes into given sticks."""

from collections.abc import Sequence
from math import ceil
from random import Random

Bin = tuple[int, tuple[int, ...]]
"""Kind of stick and indices of the sizes in it."""

STEP = 0.1
"""Steps of length in which a stick is filled, mm."""

_TRIES = 40
_TINY = 1e-6


def quick_packing(
    sizes: Sequence[float], rooms: Sequence[float], kinds: Sequence[int], step: float = STEP
) -> list[Bin] | None:
    """A packing into exactly these sticks, found by filling one after the other as full as can be.

    Args:
        sizes: with their kerfs, mm.
        rooms: of the kinds of stick, mm.
        kinds: the sticks, each by its kind.
        step: sizes are rounded up to it; a small one finds more and takes longer.

    Returns:
        The packing, None when none of the ways tried holds every size.
    """
    rising = sorted(kinds, key=lambda kind: rooms[kind])
    for order in (rising[::-1], rising):
        for longest_first in (True, False):
            bins = _filled(sizes, rooms, order, step, longest_first)
            if bins is not None:
                return bins
    # Among equally full sticks the pieces left over decide: other orders give other ones.
    rng, mixed = Random(len(kinds)), list(kinds)
    for _ in range(_TRIES):
        rng.shuffle(mixed)
        bins = _filled(sizes, rooms, mixed, step, rng.random() < 0.7, rng)
        if bins is not None:
            return bins
    return None


def _filled(
    sizes: Sequence[float],
    rooms: Sequence[float],
    order: Sequence[int],
    step: float,
    longest_first: bool,
    rng: Random | None = None,
) -> list[Bin] | None:
    waiting = sorted(range(len(sizes)), key=lambda index: -sizes[index])
    bins: list[Bin] = []
    for kind in order:
        held: tuple[int, ...] = ()
        room = rooms[kind]
        if longest_first:
            held = tuple(piece for piece in waiting if sizes[piece] <= room + _TINY)[:1]
            room -= sum(sizes[piece] for piece in held)
        others = [(i, sizes[i]) for i in waiting if i not in held]
        if rng is not None:
            rng.shuffle(others)
        held += _fill(others, room, step)
        if held:
            bins.append((kind, held))
            waiting = [piece for piece in waiting if piece not in held]
    return None if waiting else bins


def _fill(pieces: Sequence[tuple[int, float]], room: float, step: float) -> tuple[int, ...]:
    """The pieces that fill a room fullest, sizes rounded up to steps."""
    steps = int(max(0.0, room) / step + _TINY)
    whole = [ceil(size / step - _TINY) for _, size in pieces]
    mask = (1 << (steps + 1)) - 1
    reached = [1]
    for size in whole:
        reached.append((reached[-1] | reached[-1] << size) & mask)
    at, held = reached[-1].bit_length() - 1, []
    for index in range(len(pieces) - 1, -1, -1):
        if not reached[index] >> at & 1:
            held.append(pieces[index][0])
            at -= whole[index]
    return tuple(held)

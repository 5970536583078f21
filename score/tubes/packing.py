"""Quick packings of sizes into given sticks, and every way to fill one."""

from collections.abc import Sequence
from math import ceil
from random import Random

Bin = tuple[int, tuple[int, ...]]
"""Kind of stick and indices of the sizes in it."""

_STEP, _FINE = 0.1, 0.01
_TRIES = 40
_TINY = 1e-6


def quick_packing(sizes: Sequence[float], rooms: Sequence[float], kinds: Sequence[int]) -> list[Bin] | None:
    """A packing into exactly these sticks, found by filling one after the other as full as can be.

    Args:
        sizes: with their kerfs, mm.
        rooms: of the kinds of stick, mm.
        kinds: the sticks, each by its kind.

    Returns:
        The packing, None when none of the ways tried holds every size.
    """
    rising = sorted(kinds, key=lambda kind: rooms[kind])
    for order in (rising[::-1], rising):
        for longest_first in (True, False):
            found = _filled(sizes, rooms, order, longest_first)
            if found is not None:
                return found
    # Among equally full sticks the pieces left over decide: other orders give other ones.
    rng, mixed = Random(len(kinds)), list(kinds)
    for _ in range(_TRIES):
        rng.shuffle(mixed)
        found = _filled(sizes, rooms, mixed, rng.random() < 0.7, rng)
        if found is not None:
            return found
    return None


def holds(sizes: Sequence[float], room: float) -> float:
    """The most of a stick that any of these sizes can fill, mm; a bound, at most 0.01 mm a size too high."""
    reached, mask = 1, (1 << int(room / _FINE) + 1) - 1
    for size in sizes:
        reached |= reached << int(size / _FINE) & mask
    return min(room, (reached.bit_length() - 1 + len(sizes)) * _FINE)


def patterns(sizes: Sequence[float], room: float, most: int) -> list[tuple[int, ...]] | None:
    """Every set of sizes that fits a stick and takes no further one; None when there are more than `most`."""
    order = sorted(range(len(sizes)), key=lambda index: -sizes[index])
    found: list[tuple[int, ...]] = []
    # The smallest size left out on the way tells whether the set could take one more.
    stack: list[tuple[int, tuple[int, ...], float, float]] = [(0, (), room, float("inf"))]
    looked = 0
    while stack:
        at, chosen, left, smallest = stack.pop()
        looked += 1
        if len(found) > most or looked > 8 * most:
            return None
        if at == len(order):
            if chosen and smallest > left + _TINY:
                found.append(chosen)
            continue
        size = sizes[order[at]]
        stack.append((at + 1, chosen, left, min(smallest, size)))
        if size <= left + _TINY:
            stack.append((at + 1, (*chosen, order[at]), left - size, smallest))
    return found


def _filled(
    sizes: Sequence[float],
    rooms: Sequence[float],
    order: Sequence[int],
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
        held += _fill(others, room)
        if held:
            bins.append((kind, held))
            waiting = [piece for piece in waiting if piece not in held]
    return None if waiting else bins


def _fill(pieces: Sequence[tuple[int, float]], room: float) -> tuple[int, ...]:
    """The pieces that fill a room fullest, in steps of a tenth of a millimetre, sizes rounded up."""
    steps = int(max(0.0, room) / _STEP + _TINY)
    whole = [ceil(size / _STEP - _TINY) for _, size in pieces]
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

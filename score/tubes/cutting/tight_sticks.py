"""Sticks with hardly anything to spare: those that few fillings suit are filled first."""

from dataclasses import replace
from time import monotonic

import numpy as np

from score.tubes.cutting.packing import STEP, quick_packing
from score.tubes.cutting.packing_bounds import NANOMETRE, Pieces, Whole, by_length, fillings

Cuts = list[tuple[int, Whole]]
"""Kind of stick and how many pieces of each size come out of it."""

Found = tuple[Cuts | None, bool]
"""What to cut, None without an answer; whether that is sure."""

FEW, MANY = 400, 8000
"""Fillings of a stick that are gone through one by one: at first, and where that leaves a doubt."""

_FINEST = 0.002
"""Steps of the finest quick packing, mm."""


def filled(pieces: Pieces, counts: Whole, until: float, few: int = FEW) -> Found:
    """What to cut from each stick: an answer, a proof that there is none, or neither.

    Args:
        pieces: what is to be cut.
        counts: sticks of each kind.
        until: when to stop, on the monotonic clock.
        few: sticks that more fillings suit are left to quick packings.
    """
    if not pieces.needed.any():
        return [], True
    spare = float(pieces.rooms @ counts - pieces.every.sum()) * NANOMETRE
    if spare < 0:
        return None, True
    kind, ways = _hardest(pieces, counts, spare, few)
    if ways is None:
        cuts = _finely(pieces, counts)
        return cuts, cuts is not None
    sure = True
    for way in ways:
        rest, certain = filled(*_without(pieces, counts, kind, way), until, few)
        if rest is not None:
            return [(kind, way), *rest], True
        sure = sure and certain
        if monotonic() > until:
            return None, False
    return None, sure


def _hardest(pieces: Pieces, counts: Whole, spare: float, few: int) -> tuple[int, Whole | None]:
    """The kind of stick that the fewest fillings suit, and these; None where every kind has many."""
    prices, fewest, hardest = by_length(pieces), None, -1
    for kind in sorted(np.flatnonzero(counts), key=lambda kind: pieces.rooms[kind]):
        ways = fillings(pieces, prices, int(kind), spare, few)
        if ways is not None and (fewest is None or len(ways) < len(fewest)):
            fewest, hardest = ways, int(kind)
    return hardest, fewest


def _without(pieces: Pieces, counts: Whole, kind: int, way: Whole) -> tuple[Pieces, Whole]:
    """What is left when one stick is cut."""
    fewer = counts.copy()
    fewer[kind] -= 1
    return replace(pieces, needed=pieces.needed - way), fewer


def _finely(pieces: Pieces, counts: Whole) -> Cuts | None:
    """Quick packings in steps so fine that rounding sizes up costs little of what is to spare."""
    sizes, kinds = pieces.every * NANOMETRE, pieces.kinds
    rooms = pieces.rooms * NANOMETRE
    step = min(STEP, max(_FINEST, float(rooms @ counts - sizes.sum()) / len(sizes) / 8))
    sticks = [int(kind) for kind in np.repeat(np.arange(len(counts)), counts)]
    packing = quick_packing(sizes.tolist(), rooms.tolist(), sticks, step)
    width = len(pieces.sizes)
    return (
        None if packing is None else [(kind, np.bincount(kinds[list(held)], minlength=width)) for kind, held in packing]
    )

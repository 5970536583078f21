"""Worth of pieces, and the most of it a stick can hold: what no way of cutting can beat.

Give every piece a worth. If the sticks of a choice, each filled with as much worth as it holds, hold less than all
pieces together, the choice is too small: a proof, whatever the worths are. And if they hold only a little more, every
stick of a good plan must be filled nearly to its most: few fillings are left to choose from. (Both are the weak
duality of linear programs: Gilmore & Gomory, Operations Research 9, 1961.)
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.floating[Any]]
Whole = npt.NDArray[np.int64]

NANOMETRE = 1e-6
"""Sizes are whole nanometres, so that sums are exact: fractions of an inch are, and noise of floats is not."""

TINY = 1e-6
"""Less worth than this is noise of floats, mm."""

_STEPS = 30000
"""Steps the longest stick is divided into for tables; sizes are rounded down to them, which keeps bounds bounds."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """What is to be cut and from what.

    Attributes:
        sizes: the different sizes with their kerfs, longest first, nanometres.
        needed: how many pieces of each.
        rooms: of the kinds of stick, nanometres.
        step: of the tables, nanometres.
    """

    sizes: Whole
    needed: Whole
    rooms: Whole
    step: int

    @property
    def every(self) -> Whole:
        """The size of every piece, nanometres."""
        return np.repeat(self.sizes, self.needed)

    @property
    def kinds(self) -> Whole:
        """Which of the sizes every piece is."""
        return np.repeat(np.arange(len(self.sizes)), self.needed)


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """A worth for every piece.

    Attributes:
        each: worth of every piece.
        table: by piece and steps of room, the most worth that this piece and those after it can fill it with.
        most: the most worth each kind of stick can hold.
    """

    each: Numbers
    table: Numbers
    most: Numbers

    def spare(self, counts: Whole) -> float:
        """How much more than all pieces so many sticks of each kind hold; below 0 they are too few."""
        return float(self.most @ counts - self.each.sum())


def pieces_of(sizes: Sequence[float], rooms: Sequence[float]) -> Pieces:
    """Pieces from sizes with their kerfs and rooms, mm."""
    whole = np.rint(np.asarray(rooms) / NANOMETRE).astype(np.int64)
    unlike, needed = np.unique(np.rint(np.asarray(sizes) / NANOMETRE).astype(np.int64), return_counts=True)
    return Pieces(unlike[::-1], needed[::-1].astype(np.int64), whole, step=max(1, int(whole.max()) // _STEPS))


def priced(pieces: Pieces, worth: Numbers) -> Prices:
    """The most that every kind of stick holds, by dynamic programming.

    Args:
        pieces: the pieces.
        worth: of each size.
    """
    steps, each = pieces.every // pieces.step, np.repeat(worth, pieces.needed)
    longest = int(pieces.rooms.max() // pieces.step)
    table = np.zeros((len(steps) + 1, longest + 1))
    for piece in range(len(steps) - 1, -1, -1):
        wide = int(steps[piece])
        table[piece] = table[piece + 1]
        if wide <= longest:
            with_it = table[piece + 1, : longest + 1 - wide] + each[piece]
            np.maximum(table[piece, wide:], with_it, out=table[piece, wide:])
    return Prices(each, table, table[0, pieces.rooms // pieces.step])


def by_length(pieces: Pieces) -> Prices:
    """Every piece worth its length: no stick holds more than its own."""
    prices = priced(pieces, pieces.sizes * NANOMETRE)
    return Prices(prices.each, prices.table, np.minimum(prices.most, pieces.rooms * NANOMETRE))


def best_fillings(pieces: Pieces, prices: Prices, kind: int, least: float, most: int) -> list[Whole]:
    """Fillings of a stick that are worth more than the least, each the best with another longest piece.

    Args:
        pieces: the pieces.
        prices: their worth.
        kind: of the stick.
        least: worth they must pass.
        most: how many at most, those of most worth.

    Returns:
        How many pieces of each size; sizes are rounded down to steps, so a filling may not quite fit.
    """
    steps, room = pieces.every // pieces.step, int(pieces.rooms[kind] // pieces.step)
    fits = np.flatnonzero(steps <= room)
    worth = prices.each[fits] + prices.table[fits + 1, room - steps[fits]]
    order = np.argsort(-worth, kind="stable")[:most]
    return [_begun_with(pieces, prices, int(piece), room) for piece in fits[order[worth[order] > least]]]


def _begun_with(pieces: Pieces, prices: Prices, first: int, room: int) -> Whole:
    """The filling of most worth whose longest piece is this one."""
    steps, kinds, left = pieces.every // pieces.step, pieces.kinds, room
    held = np.zeros(len(pieces.sizes), dtype=np.int64)
    for piece in range(first, len(steps)):
        if piece == first or prices.table[piece, left] > prices.table[piece + 1, left] + TINY:
            held[kinds[piece]] += 1
            left -= int(steps[piece])
    return held


def fillings(pieces: Pieces, prices: Prices, kind: int, spare: float, limit: int) -> Whole | None:
    """Every way to fill a stick that lacks no more than `spare` of its most worth and has room for no further piece.

    Args:
        pieces: the pieces.
        prices: their worth.
        kind: of the stick.
        spare: how much worth may be lacking.
        limit: give up beyond so many ways.

    Returns:
        A row for each way with a column for each size: how many of it. None beyond the limit.
    """
    need, kinds = float(prices.most[kind]) - spare - TINY, pieces.kinds
    rows: Whole = np.zeros((1, len(pieces.sizes)), dtype=np.int64)
    left, worth, last = pieces.rooms[[kind]], np.zeros(1), np.array([-1])
    for piece, size in enumerate(pieces.every):
        # Of equal pieces the first are taken, so that no way comes twice.
        again = piece > 0 and kinds[piece - 1] == kinds[piece]
        fits = (left >= size) & (not again or last == piece - 1)
        more = rows[fits]
        more[:, kinds[piece]] += 1
        rows, left = np.concatenate((rows, more)), np.concatenate((left, left[fits] - size))
        worth = np.concatenate((worth, worth[fits] + prices.each[piece]))
        last = np.concatenate((last, np.full(len(more), piece)))
        keep = worth + prices.table[piece + 1, left // pieces.step] >= need
        rows, left, worth, last = rows[keep], left[keep], worth[keep], last[keep]
        if len(rows) > limit:
            return None
    return _full(pieces, rows, left)


def _full(pieces: Pieces, rows: Whole, left: Whole) -> Whole:
    """Only the fillings that leave no room for another piece: one that does is part of one that does not."""
    smallest_out = np.where(rows < pieces.needed, pieces.sizes, np.iinfo(np.int64).max).min(axis=1)
    full: Whole = rows[smallest_out > left]
    return full

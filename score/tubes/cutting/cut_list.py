"""Which tube comes out of which stick: fewest new sticks, then least pipe used up.

A tube takes its length and one kerf, measured in whole nanometres, so that what is said to fit does. Leftovers in hand
are cut before a new stick is bought; what is left of any stick counts as waste, however long, so with one length of
stick the fewest are also the least pipe. Choices of sticks are gone through from the best on (`searching`), and the
first that holds every tube is the answer; all before it are proven too small (`holding`), or the plan says it is not.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from score.errors import RequestError
from score.tubes.cutting.packing import Bin

KERF = 3.2
"""Width of a saw cut, mm."""

_WIDEST = 20.0
"""The widest saw cut, mm."""

_PATIENCE = 1.8
"""Seconds the search may take."""


@dataclass(frozen=True, slots=True)
class Stock:
    """Pipe to cut from.

    Attributes:
        length: mm.
        count: how many there are; None for as many as are bought.
        leftover: in hand already, not bought.
    """

    length: float
    count: int | None = None
    leftover: bool = False


@dataclass(frozen=True, slots=True)
class Stick:
    """One stick and what comes out of it.

    Attributes:
        stock: what it is.
        pieces: indices of the tubes, longest first.
        used: their lengths and kerfs together, mm.
    """

    stock: Stock
    pieces: tuple[int, ...]
    used: float

    @property
    def rest(self) -> float:
        """What is left over, mm."""
        return max(0.0, self.stock.length - self.used)


@dataclass(frozen=True, slots=True)
class CutPlan:
    """How to cut a set.

    Attributes:
        lengths: of the tubes as cut, mm.
        names: of the tubes.
        kerf: mm.
        sticks: leftovers first, then new ones.
        proven: no plan with fewer new sticks, or as many and less pipe, exists.
    """

    lengths: tuple[float, ...]
    names: tuple[str, ...]
    kerf: float
    sticks: tuple[Stick, ...]
    proven: bool

    @property
    def bought(self) -> int:
        """How many new sticks."""
        return sum(not stick.stock.leftover for stick in self.sticks)


def check_kerf(kerf: float) -> None:
    """Refuse a width that no saw cuts; 0 is a pipe cutter's.

    Raises:
        RequestError: below 0 or above 20 mm.
    """
    if not 0 <= kerf <= _WIDEST:
        what = f"{kerf:g} mm is not the width of a saw cut"
        raise RequestError("Kerf", what, f"give 1 to 5 mm for a saw, 0 for a pipe cutter, {_WIDEST:g} at the most")


def cut_plan(
    lengths: Sequence[float],
    stock: Sequence[Stock],
    kerf: float = KERF,
    names: Sequence[str] = (),
    patience: float = _PATIENCE,
) -> CutPlan:
    """The best way to cut these lengths.

    Args:
        lengths: of the tubes, mm.
        stock: sticks to buy and leftovers in hand.
        kerf: width of a cut, mm.
        names: of the tubes, as many as lengths.
        patience: seconds the search may take; a plan that is not proven best by then says so.

    Raises:
        RequestError: a tube is longer than every stick, or there is not enough pipe.
    """
    _check(lengths, stock, kerf, names)
    sizes = [length + kerf for length in lengths]
    best, proven = _best(sizes, stock, patience)
    sticks = [_stick(stock[kind], pieces, sizes) for kind, pieces in best]
    sticks.sort(key=lambda stick: (not stick.stock.leftover, -stick.stock.length, stick.pieces))
    return CutPlan(
        tuple(lengths),
        tuple(names) or tuple(map(str, range(1, len(sizes) + 1))),
        kerf,
        sticks=tuple(sticks),
        proven=proven,
    )


def _best(sizes: list[float], stock: Sequence[Stock], patience: float) -> tuple[list[Bin], bool]:
    from score.tubes.cutting.stick_search import best_choice

    rooms, counts = [stick.length for stick in stock], [stick.count for stick in stock]
    packing, proven = best_choice(sizes, rooms, counts, [stick.leftover for stick in stock], patience)
    if packing is None:
        raise _lacking(sizes, stock, proven)
    return packing, proven


def _lacking(sizes: Sequence[float], stock: Sequence[Stock], proven: bool) -> RequestError:
    """Says how much pipe is missing, or that what there is comes in the wrong lengths."""
    needed, there = sum(sizes), sum(stick.length * (stick.count or 0) for stick in stock)
    said = "cannot hold every tube" if proven else "were not enough for any way of cutting found in time"
    sums = f"with their cuts these take {needed:.0f} mm, the sticks have {there:.0f} mm"
    if needed > there:
        lack = f"at least {ceil(needed - there)} mm short"
        return RequestError("Not enough pipe", f"the sticks given {said}: {sums}, {lack}", "add a stick")
    why = "enough in all, but not in lengths that fit"
    return RequestError("Not enough pipe", f"the sticks given {said}: {sums}, {why}", "add a stick")


def _stick(stock: Stock, pieces: Sequence[int], sizes: Sequence[float]) -> Stick:
    order = tuple(sorted(pieces, key=lambda piece: (-sizes[piece], piece)))
    return Stick(stock, order, sum(sizes[piece] for piece in order))


def _check(lengths: Sequence[float], stock: Sequence[Stock], kerf: float, names: Sequence[str]) -> None:
    check_kerf(kerf)
    if not stock:
        raise RequestError("No stock", "there is nothing to cut from", 'name the sticks, such as "3 m"')
    for stick in stock:
        if stick.length <= 0 or (stick.count is not None and stick.count < 1):
            raise RequestError(
                "Stock", f"{stick.count} sticks of {stick.length:g} mm", "give a length and a number from 1"
            )
    longest = max(stick.length for stick in stock)
    for index, length in enumerate(lengths):
        if length + kerf > longest + 1e-6:
            name = names[index] if names else f"tube {index + 1}"
            what = f"{name} needs {length:.1f} mm and a cut of {kerf:g} mm; the longest stick has {longest:.1f} mm"
            raise RequestError("Stock too short", what, "give longer sticks, or leave this note out")

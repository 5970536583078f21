"""The best choice of sticks: fewest new ones, then least pipe."""

from collections.abc import Sequence
from time import monotonic

from score.tubes.cutting.packing_proof import Answer, Holding
from score.tubes.cutting.stick_choice import Choices


def best_choice(
    sizes: Sequence[float],
    rooms: Sequence[float],
    counts: Sequence[int | None],
    leftover: Sequence[bool],
    patience: float,
) -> Answer:
    """The best packing found, and whether it is proven that none is better (or, without one, that there is none).

    Args:
        sizes: of the tubes with their kerfs, mm.
        rooms: of the kinds of stick, mm.
        counts: how many of each kind there are, None for any number.
        leftover: whether a kind is in hand.
        patience: seconds.
    """
    until = monotonic() + patience
    holding = Holding(sizes, rooms)
    choices = Choices(rooms, counts, leftover, len(sizes), min(sizes, default=0.0))
    proven = True
    for bought in range(choices.most + 1):
        most = choices.best(bought)
        packing, sure = holding.ask(most, until)
        if packing is None and sure:
            continue
        better, best = _least(holding, choices, bought, sum(sizes), until)
        if better is not None or packing is not None:
            return better or packing, proven and best and choices.whole
        proven = proven and best
    return None, proven


def _least(holding: Holding, choices: Choices, bought: int, total: float, until: float) -> Answer:
    """The first choice with so many new sticks, from the least pipe on, that holds every tube."""
    proven = True
    for counts in choices.rising(bought, total):
        packing, sure = holding.ask(counts, until)
        if packing is not None:
            return packing, proven
        proven = proven and sure
        if monotonic() > until:
            return None, False
    return None, proven

"""The integer programs behind the cut list (HiGHS, through SciPy)."""

from collections.abc import Sequence
from typing import Any

from score.tubes.packing import Bin

Answer = tuple[list[Bin] | None, bool]
"""The packing, None when there is none; whether that is proven best (or proven impossible)."""

_TOLERANCE = 0.01


def by_pattern(
    pieces: int,
    listed: Sequence[Sequence[tuple[int, ...]]],
    limits: Sequence[int | None],
    weights: Sequence[float],
    patience: float,
) -> Answer:
    """Choose filled sticks so that every piece is in one.

    Args:
        pieces: how many there are.
        listed: for every kind of stick, all ways to fill it.
        limits: how many sticks of each kind there are, None for any number.
        weights: what a stick of each kind costs.
        patience: seconds.
    """
    import numpy as np
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array

    columns = [(kind, way) for kind, ways in enumerate(listed) for way in ways]
    if not columns:
        return None, True
    at = [(piece, column) for column, (_, way) in enumerate(columns) for piece in way]
    rows = np.array([piece for piece, _ in at])
    matrix = csr_array((np.ones(len(at)), (rows, [column for _, column in at])), (pieces, len(columns)))
    constraints = [LinearConstraint(matrix, 1, np.inf)]
    for kind, limit in enumerate(limits):
        if limit is not None:
            constraints.append(LinearConstraint(np.array([[float(k == kind) for k, _ in columns]]), 0, limit))
    chosen, proven = _solved([weights[kind] for kind, _ in columns], constraints, patience)
    if chosen is None:
        return None, proven
    return _each_once([columns[index] for index in np.flatnonzero(chosen > 0.5)]), proven


def by_piece(sizes: Sequence[float], rooms: Sequence[float], kinds: Sequence[int], patience: float) -> Answer:
    """Find for every piece a place in given sticks.

    Args:
        sizes: of the pieces with their kerfs.
        rooms: of the kinds of stick.
        kinds: the sticks, each by its kind.
        patience: seconds.
    """
    import numpy as np
    from scipy.optimize import LinearConstraint
    from scipy.sparse import lil_array

    n, m = len(sizes), len(kinds)
    once, full = lil_array((n, n * m)), lil_array((m, n * m))
    for b in range(m):
        for i in range(n):
            once[i, b * n + i] = 1
            full[b, b * n + i] = sizes[i]
    limits = np.array([rooms[kind] for kind in kinds])
    constraints = [LinearConstraint(once.tocsr(), 1, 1), LinearConstraint(full.tocsr(), 0, limits)]
    chosen, proven = _solved([0.0] * (n * m), constraints, patience)
    if chosen is None:
        return None, proven
    bins = [
        (kind, tuple(int(i) for i in np.flatnonzero(chosen[b * n : (b + 1) * n] > 0.5))) for b, kind in enumerate(kinds)
    ]
    # The solver works to a tolerance; what it lets pass by more than a hundredth of a millimetre is no answer.
    if any(sum(sizes[piece] for piece in held) > rooms[kind] + _TOLERANCE for kind, held in bins):
        return None, False
    return [one for one in bins if one[1]], proven


def _solved(costs: Sequence[float], constraints: Any, patience: float) -> tuple[Any, bool]:
    """The 0-1 values, None without any; True when the solver proved them best or the program impossible."""
    from scipy.optimize import Bounds, milp

    options = {"time_limit": patience, "mip_rel_gap": 0.0}
    found = milp(costs, constraints=constraints, integrality=1, bounds=Bounds(0, 1), options=options)
    return found.x, found.status in (0, 2)


def _each_once(bins: Sequence[Bin]) -> list[Bin]:
    """A piece that two chosen sticks could hold stays in the first."""
    seen: set[int] = set()
    kept = []
    for kind, way in bins:
        mine = tuple(piece for piece in way if piece not in seen)
        seen.update(mine)
        if mine:
            kept.append((kind, mine))
    return kept

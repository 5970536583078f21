"""The linear and the integer program behind the cut list (HiGHS, through SciPy)."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from score.tubes.cutting.packing_bounds import Numbers, Whole

_FAR_TOO_DEAR = 4.0
"""A piece in no stick costs so many times its length."""


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """An answer of the linear program.

    Attributes:
        worth: what one more piece of each size would cost, mm.
        saved: what one more stick of each kind would save, mm.
        shares: how often each filling is cut, not whole.
    """

    worth: Numbers
    saved: Numbers
    shares: Numbers


def least_pipe(ways: Whole, kinds: Whole, rooms: Numbers, counts: Whole, needed: Whole, sizes: Numbers) -> Shares:
    """The least pipe when sticks may be cut in part.

    Args:
        ways: a row for each filling, a column for each size: how many of it.
        kinds: of the stick each filling is for.
        rooms: of the kinds, mm.
        counts: how many sticks of each kind there are.
        needed: how many pieces of each size.
        sizes: mm.
    """
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, hstack, vstack

    many, width = ways.shape
    held = hstack([csr_array(-ways.T.astype(float)), csr_array(-np.eye(width))])
    takes = csr_array((np.ones(many), (kinds, np.arange(many))), (len(rooms), many + width))
    costs = np.concatenate((rooms[kinds], _FAR_TOO_DEAR * sizes))
    solved = linprog(costs, vstack([held, takes]), np.concatenate((-needed, counts)), method="highs-ds")
    if solved.x is None:
        # No numbers from the solver: worth nothing, which proves nothing.
        return Shares(np.zeros(width), np.zeros(len(rooms)), np.zeros(many))
    marginals = np.maximum(0.0, -np.asarray(solved.ineqlin.marginals))
    return Shares(marginals[:width], marginals[width:], np.asarray(solved.x)[:many])


def cover(ways: Whole, kinds: Whole, counts: Whole, needed: Whole, patience: float) -> tuple[Whole | None, bool]:
    """Choose fillings that hold every piece.

    Args:
        ways: a row for each filling, a column for each size: how many of it.
        kinds: of the stick each filling is for.
        counts: how many sticks of each kind there are.
        needed: how many pieces of each size.
        patience: seconds.

    Returns:
        How often each filling is cut, None without an answer; True when it is an answer or there is proven none.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    many = len(ways)
    if not many:
        return None, True
    takes = csr_array((np.ones(many), (kinds, np.arange(many))), (len(counts), many))
    constraints: list[Any] = [
        LinearConstraint(csr_array(ways.T.astype(float)), needed, np.inf),
        LinearConstraint(takes, -np.inf, counts),
    ]
    solved = milp(
        np.zeros(many),
        constraints=constraints,
        integrality=1,
        bounds=Bounds(0, counts[kinds]),
        options={"time_limit": patience},
    )
    if solved.x is None:
        return None, solved.status == 2
    chosen: Whole = np.rint(solved.x).astype(np.int64)
    return (chosen, True) if (ways.T @ chosen >= needed).all() else (None, False)

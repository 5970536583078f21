"""Rows that come in pieces and lie in one array from the beginning, so that no recording lies in memory twice."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray


class GrownRows:
    """One kind of feature of a recording, added to piece by piece.

    Args:
        expected: how many rows there will be, nearly; memory is only taken for those that come.
        kind: of number, as NumPy names it.
        shape: of a row.
    """

    def __init__(self, expected: int, kind: str, shape: Sequence[int] = ()) -> None:
        self._rows: NDArray[Any] = np.empty((max(1, expected), *shape), kind)
        self._count = 0

    def add(self, rows: NDArray[Any]) -> None:
        """Add some; a file that holds more than it promised makes room for half as much again."""
        count = self._count + len(rows)
        if count > len(self._rows):
            more = np.empty((count + count // 2 - self._count, *self._rows.shape[1:]), self._rows.dtype)
            self._rows = np.concatenate([self._rows[: self._count], more])
        self._rows[self._count : count] = rows
        self._count = count

    @property
    def whole(self) -> NDArray[Any]:
        """All that were added."""
        return self._rows[: self._count]

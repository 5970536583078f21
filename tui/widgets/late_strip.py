"""A row of which only the right part is sent to the terminal: what stands to the left of it has not changed.

The screen library sends every row of a part that has changed from the widget's left edge on; here the cursor steps over
the cells that the terminal has already.
"""

from collections.abc import Iterable, Mapping

from rich.console import Console
from rich.segment import Segment
from textual.strip import Strip


class _Stepping(Strip):
    """Cells that are sent after a step to the right."""

    def __init__(self, segments: Iterable[Segment], cells: int, step: int) -> None:
        super().__init__(segments, cells)
        self._step = step

    def render(self, console: Console) -> str:
        """The step and the cells."""
        return f"\x1b[{self._step}C{super().render(console)}" if self._step else super().render(console)


class LateStrip(Strip):
    """A row that knows which parts of it have changed.

    Only where the row is asked for up to a column in its middle, as it is for a part of the screen, is the beginning
    stepped over; whoever asks for all of it gets all of it.

    Args:
        segments: of the row.
        cells: columns it has.
        parts: where each part that has changed ends and begins.
    """

    def __init__(self, segments: Iterable[Segment], cells: int, parts: Mapping[int, int]) -> None:
        super().__init__(segments, cells)
        self._parts = parts

    def crop(self, start: int, end: int | None = None) -> Strip:
        """The row between two columns."""
        cropped = super().crop(start, end)
        if start or end is None or not self._parts or end >= self.cell_length:
            return cropped
        begin = self._parts[end] if end in self._parts else min(self._parts.values())
        return _Stepping(cropped.crop(begin, end), end - begin, begin) if begin < end else cropped

    def divide(self, cuts: Iterable[int]) -> list[Strip]:
        """The row in pieces; as it is where there is nothing to cut."""
        places = list(cuts)
        return [self] if places == [self.cell_length] else list(super().divide(places))


def merged(parts: Iterable[tuple[int, int]]) -> dict[int, int]:
    """End to beginning of some runs of columns; those that touch or overlap are one, as the screen asks for them."""
    runs: dict[int, int] = {}
    for start, end in sorted(parts):
        last = max(runs, default=-1)
        if start <= last:
            begin = runs.pop(last)
            runs[max(last, end)] = begin
        else:
            runs[end] = start
    return runs

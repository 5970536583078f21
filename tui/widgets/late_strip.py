"""A row of which only the right part is sent to the terminal: what stands to the left of it has not changed.

The screen library sends every row of a part that has changed from the widget's left edge on; here the cursor steps over
the cells that the terminal has already.
"""

from collections.abc import Iterable

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
    """A row that knows from which column on it has changed.

    Only where the row is asked for up to a column in its middle, as it is for a part of the screen, is the beginning
    stepped over; whoever asks for all of it gets all of it.

    Args:
        segments: of the row.
        cells: columns it has.
        since: the first column that has changed.
    """

    def __init__(self, segments: Iterable[Segment], cells: int, since: int) -> None:
        super().__init__(segments, cells)
        self._since = since

    def crop(self, start: int, end: int | None = None) -> Strip:
        """The row between two columns."""
        cropped = super().crop(start, end)
        if start == 0 and end is not None and self._since < end < self.cell_length:
            return _Stepping(cropped.crop(self._since, end), end - self._since, self._since)
        return cropped

    def divide(self, cuts: Iterable[int]) -> list[Strip]:
        """The row in pieces; as it is where there is nothing to cut."""
        places = list(cuts)
        return [self] if places == [self.cell_length] else list(super().divide(places))

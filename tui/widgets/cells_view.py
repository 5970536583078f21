"""Cells on the screen; only what has changed is sent to the terminal."""

from typing import NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.drawing.cells import Cell, Cells, segments
from tui.widgets.late_strip import LateStrip, merged

_CLOSE = 4
"""Columns that may lie between two changes that are drawn again together: moving on costs about as much."""


class CellsView(Widget):
    """Shows cells row by row."""

    DEFAULT_CSS = "CellsView { height: auto; width: 100%; }"

    def __init__(self, *, id: str) -> None:  # noqa: A002  (the name every widget has)
        super().__init__(id=id)
        self.cells: Cells | None = None
        self._parts: dict[int, list[tuple[int, int]]] = {}
        self._drawn: dict[int, _KeptRow] = {}

    def show(self, cells: Cells | None) -> None:
        """Show other cells; where the size is the same only the columns that differ are drawn again."""
        before, self.cells = self.cells, cells
        self.display = cells is not None
        if cells is None:
            return
        if before is None or (before.width, before.height) != (cells.width, cells.height):
            self.styles.height = cells.height
            self.refresh(layout=True)
            return
        for number, (old, new) in enumerate(zip(before.rows, cells.rows, strict=True)):
            if old != new:
                for columns in _changed(old, new):
                    self.renew(Region(columns.start, number, len(columns), 1))

    def renew(self, region: Region) -> None:
        """Draw a part again; of its rows only that part is sent."""
        for row in region.line_range:
            self._parts.setdefault(row, []).append((region.x, region.right))
        self.refresh(region)

    def send(self) -> None:
        """Send what is to be drawn again to the terminal now; where that cannot be, it goes with the next picture."""
        app, screen = self.app, self.screen
        if app.screen is screen and not screen._layout_required and not app._batch_count:
            screen._compositor.update_widgets({self})
            screen._compositor_refresh()

    def render_lines(self, crop: Region) -> list[Strip]:
        """The rows, not by way of the usual cache, which would not know what has changed in them."""
        filters = self.app.get_line_filters()
        look = _RowLook(self.size.width, tuple(filters), self.background_colors[1] if filters else None)
        strips = [self._strip(y, look) for y in crop.line_range]
        self._parts = {}
        return [
            strip if crop.column_span == (0, strip.cell_length) else strip.crop(*crop.column_span) for strip in strips
        ]

    def _strip(self, y: int, look: "_RowLook") -> Strip:
        """A row; it is made once for its cells, for every row is asked for when any part of the screen has changed."""
        row = self.row(y) if self.cells is not None and y < self.cells.height else []
        drawn = self._drawn.get(y)
        if drawn is None or drawn.look != look or drawn.row != row:
            drawn = self._drawn[y] = _KeptRow(list(row), look, LateStrip(_segments(row, look), look.width, {}))
        parts = self._parts.get(y)
        return LateStrip(drawn.strip, look.width, merged(parts)) if parts else drawn.strip

    def row(self, y: int) -> list[Cell]:
        """The cells of one row as they are now."""
        assert self.cells is not None
        return self.cells.rows[y]


class _RowLook(NamedTuple):
    """What a row's strip depends on besides its cells."""

    width: int
    filters: tuple[LineFilter, ...]
    background: Color | None


class _KeptRow(NamedTuple):
    """A row as it was drawn last."""

    row: list[Cell]
    look: _RowLook
    strip: LateStrip


def _segments(row: list[Cell], look: _RowLook) -> list[Segment]:
    parts = segments(row) if row else [Segment(" " * look.width, Style())]
    for each in look.filters:
        assert look.background is not None
        parts = each.apply(parts, look.background)
    return parts


def _changed(old: list[Cell], new: list[Cell]) -> list[range]:
    """Runs of columns in which two rows differ."""
    runs: list[range] = []
    for column, (before, after) in enumerate(zip(old, new, strict=True)):
        if before != after:
            if runs and column - runs[-1].stop < _CLOSE:
                runs[-1] = range(runs[-1].start, column + 1)
            else:
                runs.append(range(column, column + 1))
    return runs

"""Cells on the screen; only what has changed is sent to the terminal."""

from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.drawing.cells import Cell, Cells, segments


class CellsView(Widget):
    """Shows cells row by row."""

    DEFAULT_CSS = "CellsView { height: auto; width: 100%; }"

    def __init__(self, *, id: str) -> None:  # noqa: A002  (the name every widget has)
        super().__init__(id=id)
        self.cells: Cells | None = None

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
                changed = [column for column, pair in enumerate(zip(old, new, strict=True)) if pair[0] != pair[1]]
                self.refresh(Region(changed[0], number, changed[-1] - changed[0] + 1, 1))

    def render_line(self, y: int) -> Strip:
        """One row."""
        cells = self.cells
        if cells is None or y >= cells.height:
            return Strip.blank(self.size.width, Style())
        return Strip(segments(self.row(y)), cells.width)

    def row(self, y: int) -> list[Cell]:
        """The cells of one row as they are now."""
        assert self.cells is not None
        return self.cells.rows[y]

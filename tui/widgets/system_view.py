"""A system on the screen: a head over the moment that sounds, and the whole beat lit behind staff and lanes."""

from fractions import Fraction

from textual.geometry import Region

from tui.drawing.cells import Cell
from tui.drawing.palette import Palette
from tui.drawing.system_cells import RULER_ROW, System
from tui.widgets.cells_view import CellsView

HEAD = "▼"


class SystemView(CellsView):
    """Shows a system; a moment that passes draws one cell of the ruler again, a beat the columns of two beats."""

    def __init__(self, *, id: str) -> None:  # noqa: A002  (the name every widget has)
        super().__init__(id=id)
        self.system: System | None = None
        self._colours: Palette | None = None
        self._lit = range(0)
        self._head: int | None = None

    def show_system(self, system: System | None, colours: Palette) -> None:
        """Show another system, nothing lit."""
        self._lit, self._head = range(0), None
        self.system, self._colours = system, colours
        before, self.cells = self.cells, None
        self.show(system.cells if system else None)
        if system is not None and before is not None and before.height == system.cells.height:
            self.refresh()

    def light(self, at: Fraction | None) -> None:
        """Put the head over a moment, quarters from the run's beginning, and light its beat; None puts both out."""
        system = self.system
        if system is None:
            return
        lit = system.lit(at) if at is not None else range(0)
        head = system.grid.column(at) if at is not None else None
        if head != self._head:
            before, self._head = self._head, head
            for column in (before, head):
                if column is not None:
                    self.renew(Region(column, RULER_ROW, 1, 1))
        if lit != self._lit:
            before_lit, self._lit = self._lit, lit
            for columns in (before_lit, lit):
                if columns:
                    self.renew(Region(columns.start, RULER_ROW, len(columns), system.staff.stop - RULER_ROW))

    def row(self, y: int) -> list[Cell]:
        """One row with its light."""
        cells, system, colours = super().row(y), self.system, self._colours
        if system is None or colours is None:
            return cells
        is_lit = RULER_ROW <= y < system.staff.stop
        if is_lit and self._lit:
            cells = list(cells)
            for column in self._lit:
                if cells[column].ground in (colours.ground, colours.field):
                    cells[column] = cells[column]._replace(ground=colours.lit)
        if y == RULER_ROW and self._head is not None and self._head < len(cells):
            cells = list(cells)
            cells[self._head] = cells[self._head]._replace(letter=HEAD, ink=colours.head, bold=True)
        return cells

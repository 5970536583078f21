"""A system of engraved notation in cells, the beat that sounds lit behind it."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.drawing.picture_cells import picture_cells
from tui.notation import ShownPicture

_MOST_SLICES = 48
_ABOVE, _BELOW = 5, 1
"""Rows above and below the player's own staff that are lit too; the fewer rows, the less is sent on a beat."""


class PictureStrip(Strip):
    """A row of cells that each hold a letter with marks: it is only ever cut between cells."""

    def __init__(self, cells: Sequence[str], style: Style) -> None:
        super().__init__([Segment("".join(cells), style)], len(cells))
        self._cells, self._style = cells, style

    def crop(self, start: int, end: int | None = None) -> Strip:
        """The cells from start up to, not including, end."""
        return PictureStrip(self._cells[max(0, start) : end], self._style)

    def divide(self, cuts: Iterable[int]) -> list[Strip]:
        """The row in pieces that end at the cuts."""
        pieces: list[Strip] = []
        start = 0
        for end in cuts:
            pieces.append(self.crop(start, end))
            start = end
        return pieces


class Slice(Widget):
    """The cells of one beat: a widget of its own, so that a change of light sends these cells and no others."""

    DEFAULT_CSS = "Slice { height: 100%; width: 0; }"

    def __init__(self) -> None:
        super().__init__()
        self._shown: ShownPicture | None = None
        self._columns = range(0)
        self._light, self._ground = "", ""
        self.lit = False

    def show(self, shown: ShownPicture, columns: range, light: str, ground: str) -> None:
        """Show these columns of a picture, over a ground, or over light."""
        self._shown, self._columns, self._light, self._ground = shown, columns, light, ground
        self.lit = False
        self.styles.width = len(columns)
        self.display = bool(columns)
        self.refresh()

    def turn(self, lit: bool) -> None:
        """Light on or off."""
        if lit != self.lit and self._shown is not None:
            self.lit = lit
            first, last = self._lit_rows(self._shown)
            self.refresh(Region(0, first, len(self._columns), last - first + 1))

    def render_lines(self, crop: Region) -> list[Strip]:
        """Rows of the picture; not by way of the usual cache, which would cut cells between letter and mark."""
        return [self._row(y).crop(crop.x, crop.right) for y in crop.line_range]

    def _row(self, y: int) -> Strip:
        shown = self._shown
        # Under a dialog colours are dimmed, and a dimmed number is another picture's.
        if shown is None or y >= shown.picture.rows or self.app.screen is not self.screen:
            ground = Style(bgcolor=Color.parse(self._ground)) if self._ground else Style()
            return Strip([Segment(" " * self.size.width, ground)])
        first, last = self._lit_rows(shown)
        behind = self._light if self.lit and first <= y <= last else self._ground
        style = Style(color=Color.from_ansi(shown.image), bgcolor=Color.parse(behind))
        return PictureStrip(picture_cells(y, self._columns), style)

    def _lit_rows(self, shown: ShownPicture) -> tuple[int, int]:
        first, last = shown.picture.staff
        return max(0, first - _ABOVE), min(shown.picture.rows - 1, last + _BELOW)


class NotationView(Horizontal):
    """One system; nothing of it is sent again while the light moves."""

    DEFAULT_CSS = "NotationView { height: auto; width: 100%; } NotationView Slice { height: 100%; }"

    def __init__(self, *, id: str) -> None:  # noqa: A002  (the name every widget has)
        super().__init__(id=id)
        self._slices = [Slice() for _ in range(_MOST_SLICES)]
        self._ends: list[int] = []

    def compose(self) -> ComposeResult:
        """A slice for each beat there may be."""
        yield from self._slices

    def show(self, shown: ShownPicture, beats: Sequence[Fraction], light: str, ground: str, rows: int = 0) -> None:
        """Show a system.

        Args:
            shown: the picture.
            beats: where beats begin, quarters from the beginning of the first bar, rising.
            light: colour behind the beat that sounds.
            ground: colour behind everything else.
            rows: that the view has; 0 for as many as the picture.
        """
        self.display = True
        self.styles.height = max(rows, shown.picture.rows)
        starts = sorted({0, *map(shown.column, beats[: _MOST_SLICES - 1])})
        self._ends = [*starts[1:], shown.picture.columns]
        for slice_, start, end in zip(self._slices, starts, self._ends, strict=False):
            slice_.show(shown, range(start, end), light, ground)
        for slice_ in self._slices[len(starts) :]:
            slice_.display = False

    def light(self, column: int | None) -> None:
        """Light the beat in whose cells a column lies; None for none."""
        start = 0
        for slice_, end in zip(self._slices, self._ends, strict=False):
            slice_.turn(column is not None and start <= column < end)
            start = end

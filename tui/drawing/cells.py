"""Cells of a screen with a letter, an ink and a ground each, and how they become what the terminal is sent."""

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from rich.color import Color
from rich.segment import Segment
from rich.style import Style

SOFT = frozenset(" ─│┼·")
"""Letters that give way to others: rest, lines."""


class Cell(NamedTuple):
    """One cell.

    Attributes:
        letter: one sign.
        ink, ground: "#rrggbb".
        bold: whether the letter is bold.
    """

    letter: str
    ink: str
    ground: str
    bold: bool = False


class Cells:
    """Rows of cells.

    Args:
        width, height: columns and rows.
        ink, ground: colours of empty cells.
    """

    def __init__(self, width: int, height: int, ink: str, ground: str) -> None:
        self.width, self.height, self.ink = width, height, ink
        self.rows = [[Cell(" ", ink, ground)] * width for _ in range(height)]

    def put(self, row: int, column: int, text: str, ink: str = "", *, ground: str = "", bold: bool = False) -> None:
        """Write from a column on; what does not fit is left out. Without a ground the cells keep theirs."""
        if not 0 <= row < self.height:
            return
        cells = self.rows[row]
        for offset, letter in enumerate(text):
            place = column + offset
            if 0 <= place < self.width:
                cells[place] = Cell(letter, ink or self.ink, ground or cells[place].ground, bold=bold)

    def soft(self, row: int, column: int, letter: str, ink: str) -> None:
        """Write a letter where nothing but lines stands."""
        if 0 <= row < self.height and 0 <= column < self.width and _gives_way(self.rows[row][column]):
            self.put(row, column, letter, ink)

    def is_free(self, row: int, columns: range) -> bool:
        """Whether nothing but lines stands in some columns."""
        return columns.stop <= self.width and all(_gives_way(self.rows[row][column]) for column in columns)

    def paint(self, row: int, columns: range, ground: str) -> None:
        """Another ground behind some cells."""
        cells = self.rows[row]
        for column in columns:
            if 0 <= column < self.width:
                cells[column] = cells[column]._replace(ground=ground)

    def fade(self, rows: range, first: int, faded: Callable[[str], str]) -> None:
        """Change inks and coloured grounds from a column on."""
        for row in rows:
            self.rows[row][first:] = [
                cell._replace(ink=faded(cell.ink), ground=faded(cell.ground)) for cell in self.rows[row][first:]
            ]

    @property
    def plain(self) -> list[str]:
        """The letters, row by row."""
        return ["".join(cell.letter for cell in row) for row in self.rows]


def _gives_way(cell: Cell) -> bool:
    """Whether nothing but lines stands in a cell; what is bold belongs to a head or a number, its spaces too."""
    return cell.letter in SOFT and not cell.bold


def segments(cells: list[Cell]) -> list[Segment]:
    """A row as the terminal is sent it: neighbours of one style together."""
    parts: list[Segment] = []
    start = 0
    for end in range(1, len(cells) + 1):
        if end == len(cells) or cells[end][1:] != cells[start][1:]:
            here = cells[start]
            text = "".join(cell.letter for cell in cells[start:end])
            parts.append(Segment(text, _style(here.ink, here.ground, here.bold)))
            start = end
    return parts


@lru_cache(4096)
def _style(ink: str, ground: str, bold: bool) -> Style:
    return Style(color=Color.parse(ink), bgcolor=Color.parse(ground), bold=bold)

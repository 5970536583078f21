"""A small grid of letters with a style each, row by row."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from textwrap import wrap

from rich.text import Text


@dataclass(slots=True)
class Row:
    """One row of letters.

    Attributes:
        width: columns.
        cells: a letter a column.
        styles: a style a column, "" for none.
    """

    width: int
    cells: list[str] = field(default_factory=list)
    styles: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.cells, self.styles = [" "] * self.width, [""] * self.width

    def put(self, column: int, text: str, style: str = "") -> None:
        """Write from a column on; what does not fit is left out."""
        for offset, letter in enumerate(text):
            if 0 <= column + offset < self.width:
                self.cells[column + offset], self.styles[column + offset] = letter, style

    def room(self, column: int, size: int) -> bool:
        """Whether a text of a size fits at a column with a free column before and after it."""
        if column + size > self.width:
            return False
        return all(self.cells[i] == " " for i in range(max(0, column - 1), min(self.width, column + size + 1)))

    def fill(self, first: int, last: int, letter: str, style: str = "") -> None:
        """Fill free columns from first up to, not including, last."""
        for column in range(max(first, 0), min(last, self.width)):
            if self.cells[column] == " ":
                self.cells[column], self.styles[column] = letter, style

    @property
    def plain(self) -> str:
        """The letters without style."""
        return "".join(self.cells)

    @property
    def text(self) -> Text:
        """The row with its styles."""
        text = Text("".join(self.cells), no_wrap=True, overflow="crop")
        start = 0
        for column in range(1, self.width + 1):
            if column == self.width or self.styles[column] != self.styles[start]:
                if self.styles[start]:
                    text.stylize(self.styles[start], start, column)
                start = column
        return text


def indented(words: str, width: int, indent: int) -> list[str]:
    """Words on as many lines as they take, those after the first a little further in."""
    ahead = " " * indent
    return wrap(words, max(20, width - 1), initial_indent=ahead, subsequent_indent=f"{ahead}   ")


def joined(rows: list[Row]) -> Text:
    """Rows one below the other."""
    return Text("\n", no_wrap=True, overflow="crop").join(row.text for row in rows)


def stacked(lines: Sequence[Text], width: int) -> Text:
    """Lines one below the other, none wider than the screen."""
    for line in lines:
        line.truncate(width)
    return Text("\n", no_wrap=True, overflow="crop").join(lines)

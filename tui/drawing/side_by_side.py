"""What copies disagree about: the list of places, and the sides of the chosen one next to each other."""

from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from score.group.conflicts import Conflict
from tui.drawing.palette import Palette, style


def conflict_list(conflicts: Sequence[Conflict], chosen: int, width: int, colours: Palette) -> list[Text]:
    """A line for each place, the chosen one marked."""
    lines = []
    for position, conflict in enumerate(conflicts):
        here = position == chosen
        text = Text(no_wrap=True).append("▶" if here else " ", style(colours.ink, bold=True))
        text.append(f" {conflict.line}", style(colours.ink, bold=here))
        text.truncate(width, overflow="ellipsis", pad=True)
        if here:
            text.stylize_before(f"on {colours.chosen}")
        lines.append(text)
    return lines


def sides_beside(conflict: Conflict, chosen: int, width: int, colours: Palette) -> list[Text]:
    """The sides as columns as wide as each other, the chosen one on a ground of its own.

    Args:
        conflict: what is to be settled.
        chosen: position of the chosen side.
        width: columns in all.
        colours: the palette.
    """
    wide = max(12, (width - 2) // len(conflict.sides) - 2)
    heads = [
        f"{position + 1}  {'your file' if side.mine else 'a copy'}" for position, side in enumerate(conflict.sides)
    ]
    words = [wrap(side.words, wide - 2) or [""] for side in conflict.sides]
    rows = max(len(lines) for lines in words)
    columns = [[head, "", *lines, *[""] * (rows - len(lines))] for head, lines in zip(heads, words, strict=True)]
    picture = []
    for row in range(rows + 2):
        line = Text(" ", no_wrap=True)
        for position, column in enumerate(columns):
            ink = colours.faint if row == 0 else style(colours.ink, bold=position == chosen)
            ground = f" on {colours.chosen}" if position == chosen else ""
            line.append(f" {column[row]}".ljust(wide), ink + ground)
            line.append("  ")
        picture.append(line)
    return picture

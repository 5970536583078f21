"""The tempo reached over the weeks, as a line of fine dots."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from rich.text import Text

from tui.drawing.palette import Palette, style

DAYS = 21
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
"""Bits of a braille letter: left and right column, from the top (Unicode 15, chapter 21.1)."""


def tempo_curve(
    passes: Sequence[tuple[datetime, float]], today: date, width: int, rows: int, colour: str, colours: Palette
) -> Text:
    """The best tempo reached up to each day of three weeks; the top row is the written tempo.

    Args:
        passes: (when, share of the written tempo), the earliest first.
        today: the last day shown.
        width: columns.
        rows: rows.
        colour: of the dots.
        colours: of everything else.
    """
    begin = today - timedelta(days=DAYS)
    cells = [[0] * width for _ in range(rows)]
    for dot in range(2 * width):
        day = begin + timedelta(days=DAYS * (dot + 1) / (2 * width))
        best = max((tempo for at, tempo in passes if at.astimezone().date() <= day), default=0.0)
        if best:
            row = round((1 - min(1.0, best)) * (4 * rows - 1))
            cells[row // 4][dot // 2] |= _DOTS[dot % 2][row % 4]
    lines = [Text("".join(chr(0x2800 + cell) if cell else " " for cell in line), style(colour)) for line in cells]
    return Text("\n", no_wrap=True).join(lines)

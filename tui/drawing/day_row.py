"""The days up to the concert from left to right: own minutes as heights, rehearsals as boxes, then the concert."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from rich.text import Text

from tui.drawing.canvas import Row, joined
from tui.drawing.overview_picture import HEIGHTS
from tui.drawing.palette import Palette, ink_on, style

_NARROW, _WIDE = 4, 7
_ROWS, _MOST = 3, 60
"""Rows of the heights, and the minutes that fill them."""


class Day(NamedTuple):
    """One day.

    Attributes:
        day: the date.
        own: minutes of own practice.
        minutes: of the rehearsal, 0 where there is none.
        missing: numbers of those who cannot come.
        is_concert: the concert is on this day.
    """

    day: date
    own: int = 0
    minutes: int = 0
    missing: tuple[int, ...] = ()
    is_concert: bool = False


def day_row(days: Sequence[Day], chosen: int, own: int, width: int, colours: Palette) -> Text:
    """As many days as fit around the chosen one, six rows.

    Args:
        days: one after another.
        chosen: position of the chosen one.
        own: number of the player.
        width: columns.
        colours: the palette.
    """
    wide = _WIDE if len(days) * _WIDE <= width - 2 else _NARROW
    count = (width - 2) // wide
    first = max(0, min(chosen - count // 2, len(days) - count))
    names, numbers, foot = Row(width), Row(width), Row(width)
    heights = [Row(width) for _ in range(_ROWS)]
    for place, day in enumerate(days[first : first + count]):
        column = 1 + place * wide
        _name(names, numbers, day, column, wide, first + place == chosen, colours)
        if day.is_concert:
            _box(
                heights,
                column,
                wide,
                ("", "con" if wide == _NARROW else "concert"[: wide - 1], ""),
                colours.ink,
                colours,
            )
        elif day.minutes:
            missing = f"no{','.join(map(str, day.missing))}"[: wide - 1] if day.missing else ""
            _box(heights, column, wide, (str(day.minutes), "min"[: wide - 1], missing), colours.chosen, colours)
        elif day.own:
            _height(heights, column, wide, day.own, colours.player(own))
        if day.own:
            foot.put(column, str(day.own), colours.faint)
    return joined([names, numbers, *heights, foot])


def _name(names: Row, numbers: Row, day: Day, column: int, wide: int, chosen: bool, colours: Palette) -> None:
    weekend = day.day.weekday() >= 5
    ink = style(ink_on(colours.head), colours.head, bold=True) if chosen else colours.ink if weekend else colours.faint
    names.put(column, f"{day.day:%a}"[:2].ljust(wide - 1), ink)
    month = f" {day.day:%b}"[: wide - 3] if wide == _WIDE and day.day.day == 1 else ""
    numbers.put(column, f"{day.day.day}{month}".ljust(wide - 1), ink)


def _box(rows: Sequence[Row], column: int, wide: int, texts: Sequence[str], ground: str, colours: Palette) -> None:
    for row, text in zip(rows, texts, strict=True):
        row.put(column, text.ljust(wide - 1), style(ink_on(ground), ground, bold=True))


def _height(rows: Sequence[Row], column: int, wide: int, minutes: int, colour: str) -> None:
    eighths = max(1, round(8 * _ROWS * min(minutes, _MOST) / _MOST))
    for up, row in enumerate(reversed(rows)):
        row.put(column, HEIGHTS[max(0, min(8, eighths - 8 * up))] * (wide - 1), colour)


def item_boxes(
    items: Sequence[tuple[str, int]], width: int, colours: Palette, now: int | None = None, gone: int = 0
) -> Text:
    """A rehearsal's items as boxes as wide as they are long, with their minutes below.

    Args:
        items: (name, minutes), breaks among them.
        width: columns.
        colours: the palette.
        now: position of the item at hand, None for none.
        gone: items before this one are over.
    """
    names, minutes = Row(width), Row(width)
    total = sum(length for _, length in items) or 1
    at = 0
    for position, (name, length) in enumerate(items):
        first, last = 1 + at * (width - 2) // total, 1 + (at + length) * (width - 2) // total
        at += length
        wide = max(1, last - first - 1)
        ground = colours.good if position == now else colours.panel if position < gone else colours.chosen
        if name == "break":
            names.put(first, name[:wide], colours.faint)
        else:
            names.put(first, name[:wide].ljust(wide), style(ink_on(ground), ground, bold=position == now))
        minutes.put(first, str(length)[:wide], colours.faint)
    return joined([names, minutes])

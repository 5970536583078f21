"""One chunk beside the table: what it asks, the tempo reached, its first bars, the notes of the rehearsals."""

from collections.abc import Sequence
from datetime import date, datetime
from textwrap import wrap
from typing import NamedTuple

from rich.text import Text

from score.piece import Piece
from tui.drawing.lane_sketch import Sketch, systems
from tui.drawing.palette import Palette, style
from tui.drawing.tempo_curve import tempo_curve


class Panel(NamedTuple):
    """What is said of a chunk.

    Attributes:
        title: its name and bars.
        bars: indices.
        asks: what it asks of the player and the group, the weightiest first.
        passes: (when, share of the written tempo), the earliest first.
        notes: (bar, who, text) of the rehearsals.
    """

    title: str
    bars: range
    asks: Sequence[str]
    passes: Sequence[tuple[datetime, float]] = ()
    notes: Sequence[tuple[str, str, str]] = ()


def panel_lines(
    panel: Panel, piece: Piece, own: int, size: tuple[int, int], today: date, colours: Palette
) -> list[Text]:
    """As much of the panel as fits, whole parts only.

    Args:
        panel: what is said.
        piece: the piece.
        own: number of the player.
        size: columns and rows.
        today: for the weeks shown.
        colours: the palette.
    """
    width, height = size
    asks = [Text(line, colours.ink) for text in panel.asks for line in wrap(text, max(20, width - 2))]
    notes = _notes(panel, width, colours)
    curve = _curve(panel, own, width, today, colours)
    lines = [Text(panel.title, style(colours.player(own), bold=True)), *asks[: max(2, height - len(notes) - 2)]]
    for part in (notes, curve):
        if part and len(lines) + len(part) + 1 <= height:
            lines += [Text(""), *part]
    bars = _bars(panel, piece, own, (width, height - len(lines) - 1), colours)
    return [*lines, *([Text(""), *bars] if bars else [])][:height]


def _notes(panel: Panel, width: int, colours: Palette) -> list[Text]:
    if not panel.notes:
        return []
    lines = [Text("notes", colours.faint)]
    for bar, who, text in panel.notes[-4:]:
        line = Text(f"{bar} {who}  ", colours.faint)
        line.append(text, colours.ink)
        line.truncate(width, overflow="ellipsis")
        lines.append(line)
    return lines


def _bars(panel: Panel, piece: Piece, own: int, size: tuple[int, int], colours: Palette) -> list[Text]:
    numbers = tuple(player.number for player in piece.players)
    return systems(piece, panel.bars, Sketch(numbers, own), size, colours)


def _curve(panel: Panel, own: int, width: int, today: date, colours: Palette) -> list[Text]:
    if not panel.passes:
        return []
    best = max(tempo for _, tempo in panel.passes)
    rows = tempo_curve(panel.passes, today, min(40, width - 10), 3, colours.player(own), colours).split("\n")
    rows[0].append("  100 %", colours.faint)
    rows[-1].append(f"  {100 * best:.0f} %", style(colours.player(own), bold=True))
    return [Text("tempo reached, last three weeks", colours.faint), *rows]

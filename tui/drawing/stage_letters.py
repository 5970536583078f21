"""A stage in letters: its edges, instruments as letters, players as the first letters of their names."""

from itertools import pairwise
from math import ceil

from rich.text import Text

from score.concert.concert_values import Hall
from score.concert.stage_moves import StageChange
from score.concert.stage_plan import NOTHING, StageInstrument, StagePlan
from score.concert.stage_texts import change_line, instrument_line, move_line
from score.setup.floor_picture import letter_of
from score.setup.floor_plan import Point
from tui.drawing.canvas import Row, indented
from tui.drawing.palette import Palette, style

_LEAST = 50
"""Columns a stage has at the least where something stands beside it."""


def stage_rows(hall: Hall, stage: StagePlan, size: tuple[int, int], colours: Palette) -> list[Row]:
    """The stage from above, the audience below; a letter is about twice as high as it is wide."""
    metre = min((size[0] - 3) / hall.width, 2 * (size[1] - 3) / hall.depth)
    wide, deep = max(4, int(hall.width * metre)), max(2, ceil(hall.depth * metre / 2))
    rows = [Row(wide + 2) for _ in range(deep + 3)]
    for row, edge in ((0, "┌─┐"), (deep + 1, "└─┘")):
        rows[row].put(0, edge[0] + edge[1] * wide + edge[2], colours.line)
    for row in range(1, deep + 1):
        rows[row].put(0, "│", colours.line)
        rows[row].put(wide + 1, "│", colours.line)
    rows[-1].put(max(0, wide // 2 - 3), "audience", colours.faint)
    floor = rows[1 : deep + 1]
    _things(floor, hall, stage, metre, colours)
    for spot in stage.spots:
        _put(floor, hall, metre, spot.at, spot.person[:3], style(colours.ink, bold=True))
    return rows


def stage_page(
    hall: Hall, stage: StagePlan, change: StageChange | None, size: tuple[int, int], colours: Palette
) -> list[Text]:
    """A piece on the stage, what its letters mean, and the change before it."""
    key = [] if stage.instruments else [f" {NOTHING}"]
    key += [f" {letter_of(index)}  {instrument_line(each)}" for index, each in enumerate(stage.instruments)]
    wide = max(map(len, key))
    # What the letters mean stands beside the stage where there is room.
    beside = size[0] - wide - 1 if size[0] - wide - 1 >= _LEAST else size[0]
    rows = stage_rows(hall, stage, (beside, max(8, size[1] - 1)), colours)
    lines = [Text(f" {stage.title}", style(colours.ink, bold=True))]
    if rows[0].width + wide + 1 <= size[0]:
        key += [""] * (len(rows) - len(key))
        lines += [row.text.append(words, colours.ink) for row, words in zip(rows, key, strict=False)]
    else:
        lines += [row.text for row in rows]
        lines += [Text(row, colours.ink) for words in key for row in indented(words.strip(), size[0], 1)]
    if change is not None:
        lines.append(Text(""))
        bold = style(colours.ink, bold=True)
        lines += [Text(row, bold) for row in indented(f"Change, {change_line(change)}", size[0], 1)]
        lines += [Text(row, colours.ink) for move in change.moves for row in indented(move_line(move), size[0], 3)]
        lines += [Text(row, colours.caution) for words in change.warnings for row in indented(words, size[0], 1)]
    return lines


def _things(floor: list[Row], hall: Hall, stage: StagePlan, metre: float, colours: Palette) -> None:
    for line, row in enumerate(floor):
        for column in range(1, row.width - 1):
            at = Point((column - 0.5) / metre, hall.depth - 2 * (line + 0.5) / metre)
            for index, instrument in enumerate(stage.instruments):
                if _within(at, instrument):
                    row.put(column, letter_of(index), colours.faint)
    for index, instrument in enumerate(stage.instruments):
        _put(floor, hall, metre, instrument.middle, letter_of(index), style(colours.ink, bold=True))


def _put(floor: list[Row], hall: Hall, metre: float, at: Point, text: str, ink: str) -> None:
    line = int((hall.depth - at.y) * metre / 2)
    if 0 <= line < len(floor):
        floor[line].put(1 + int(at.x * metre), text, ink)


def _within(point: Point, instrument: StageInstrument) -> bool:
    corners = (*instrument.corners, instrument.corners[0])
    turns = [(b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x) for a, b in pairwise(corners)]
    return all(turn >= 0 for turn in turns) or all(turn <= 0 for turn in turns)

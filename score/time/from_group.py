"""What the group's file says of time: shapes, holds, and the tempo inside a printed range.

[[shape]]
bars = "57-64"
kind = "forward"       # or "back", "top", "end"
percent = 8
player = 1             # who leads it

[[hold]]
bar = "112"
seconds = 3.5          # how long the fermata or caesura of this bar is held beyond its written length

[tempo]
within_range = 0.25    # "60-72": 0 its slow end, 1 its quick end
"""

from score.errors import InbreathError
from score.group.group_file import Group, Table, group_table, group_tables
from score.piece import Piece
from score.places import find_bar, find_bars
from score.time.pulse import PulseOptions
from score.time.shapes import LARGEST_PERCENT, Shape, ShapeKind


def pulse_options(group: Group, piece: Piece, scale: float = 1.0, steady: float | None = None) -> PulseOptions:
    """The group's choices with a practice tempo.

    Args:
        group: the group's file.
        piece: the piece.
        scale: practice tempo as a factor of the written one.
        steady: quarters a minute that replace every mark, or None.

    Raises:
        GroupFileError: a bar, kind or figure that cannot be used.
    """
    shapes = tuple(_shape(table, piece) for table in group_tables(group, "shape"))
    holds = tuple(_hold(table, piece) for table in group_tables(group, "hold"))
    tempo = group_table(group, "tempo")
    within = tempo.figure("within_range", 0.5, 0.0, 1.0) if tempo else 0.5
    return PulseOptions(scale, steady, within, shapes=shapes, holds=holds)


def _shape(table: Table, piece: Piece) -> Shape:
    kind = table.text("kind")
    if kind not in list(ShapeKind):
        raise table.wrong(f"kind {kind!r} is not a known shape", f"write one of {', '.join(ShapeKind)}")
    try:
        bars = find_bars(piece, table.text("bars"))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    first, last = piece.bars[bars[0]], piece.bars[bars[-1]]
    by = table.number("player") if "player" in table.entry else None
    percent = table.figure("percent", 8.0, 0.0, LARGEST_PERCENT)
    return Shape(ShapeKind(kind), first.start, last.start + last.length, percent=percent, by=by)


def _hold(table: Table, piece: Piece) -> tuple[int, float]:
    try:
        bar = find_bar(piece, table.text("bar"))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    return bar, table.figure("seconds", 2.0, 0.0, 60.0)

"""What the group's file says of time: shapes, holds, and the tempo inside a printed range.

[[shape]]
bars = "57-64"
beats = "3-2"          # from beat 3 of the first bar to the end of beat 2 of the last; all of both without it
kind = "forward"       # or "back", "top", "end"
percent = 8
top = "61:3"           # where it goes furthest; the middle without it
curve = 3              # 1 from beat to beat, 2 evenly in time (usual), 3 late as a final ritardando
player = 1             # who leads it

[[hold]]
bar = "112"
beat = 3               # which stop of the bar, or where to wait; the bar's last stop without it
kind = "hold"          # a fermata or caesura; "short" one cut short; "wait" before a beat where nothing is written
seconds = 3.5          # how long beyond what is written, at the written tempo

[tempo]
within_range = 0.25    # "60-72": 0 its slow end, 1 its quick end

What is only tried counts like what is agreed; what was dropped does not.
"""

from fractions import Fraction

from score.errors import InbreathError
from score.group.checked_table import Table
from score.group.group_file import Group, group_table, group_tables
from score.piece import Piece
from score.places import bar_name, find_bar, find_bars
from score.time.beat_places import beat_place, find_place, find_span
from score.time.pulse import PulseOptions
from score.time.shapes import LARGEST_PERCENT, STEEPEST, Shape, ShapeKind
from score.time.stops import stop_bar, written_stops
from score.time.tempo_map import Hold

_HOLDS = {"hold": 2.0, "wait": 0.5, "short": 0.0}
"""Kinds of hold and their seconds where none are given."""


def pulse_options(group: Group, piece: Piece, scale: float = 1.0, steady: float | None = None) -> PulseOptions:
    """The group's choices with a practice tempo.

    Args:
        group: the group's file.
        piece: the piece.
        scale: practice tempo as a factor of the written one.
        steady: quarters a minute that replace every mark, or None.

    Raises:
        GroupFileError: a bar, beat, kind or figure that cannot be used.
    """
    shapes = tuple(_shape(table, piece) for table in kept_tables(group, "shape"))
    tempo = group_table(group, "tempo")
    within = tempo.figure("within_range", 0.5, 0.0, 1.0) if tempo else 0.5
    return PulseOptions(scale, steady, within, shapes=shapes, holds=_holds(group, piece))


def kept_tables(group: Group, name: str) -> tuple[Table, ...]:
    """Every ``[[name]]`` that the group has not dropped.

    Raises:
        GroupFileError: the name is there but is not a list of tables.
    """
    return tuple(table for table in group_tables(group, name) if table.text("state") != "dropped")


def table_place(table: Table, piece: Piece) -> Fraction:
    """Quarters from the beginning of the piece to the bar and beat of a table; the bar's beginning without a beat.

    Raises:
        GroupFileError: no such bar or beat.
    """
    try:
        bar = find_bar(piece, table.text("bar"))
        return piece.offset(beat_place(piece, bar, table.figure("beat", 1.0, 1.0, 99.0)))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error


def _shape(table: Table, piece: Piece) -> Shape:
    kind = table.text("kind")
    if kind not in list(ShapeKind):
        raise table.wrong(f"kind {kind!r} is not a known shape", f"write one of {', '.join(ShapeKind)}")
    try:
        start, end = find_span(piece, find_bars(piece, table.text("bars")), table.text("beats"))
        top = piece.offset(find_place(piece, table.text("top"))) if table.text("top") else None
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    if top is not None and not start < top < end:
        raise table.wrong(f"top {table.text('top')} lies outside it", "name a place inside its bars")
    by = table.number("player") if "player" in table.entry else None
    percent = table.figure("percent", 8.0, 0.0, LARGEST_PERCENT)
    curve = table.figure("curve", 2.0, 1.0, STEEPEST)
    return Shape(ShapeKind(kind), start, end, percent=percent, top=top, curve=curve, by=by)


def _holds(group: Group, piece: Piece) -> tuple[Hold, ...]:
    holds: dict[Fraction, Hold] = {}
    for table in kept_tables(group, "hold"):
        hold = _hold(table, piece)
        if hold.offset in holds:
            raise table.wrong(f"is the second hold in bar {table.text('bar')} at one place", "keep one of them")
        holds[hold.offset] = hold
    return tuple(holds[offset] for offset in sorted(holds))


def _hold(table: Table, piece: Piece) -> Hold:
    kind = table.text("kind") or "hold"
    if kind not in _HOLDS:
        raise table.wrong(f"kind {kind!r} is not a known hold", f"write one of {', '.join(_HOLDS)}")
    seconds = table.figure("seconds", _HOLDS[kind], 0.0, 60.0)
    at = table_place(table, piece)
    if kind == "wait":
        if at == 0:
            raise table.wrong("waits before the very first beat", "name a later beat")
        return Hold(at, seconds, before=True)
    bar = find_bar(piece, table.text("bar"))
    stops = [stop for stop in written_stops(piece) if stop_bar(piece, stop) == bar]
    if "beat" in table.entry:
        stops = [stop for stop in stops if stop.covers(at)]
    if not stops:
        where = f"bar {bar_name(piece, bar)}" + (f", beat {table.entry['beat']:g}" if "beat" in table.entry else "")
        raise table.wrong(f"names {where}, where no fermata or caesura stands", 'write kind = "wait" to wait there')
    return Hold(stops[-1].end, seconds)

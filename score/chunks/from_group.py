"""What the group's file says of chunks and leads.

[[chunk]]
bars = "17-24"     # exactly these bars are a chunk

[[chunk]]
split = "25"       # a chunk begins at bar 25

[[chunk]]
merge = "41"       # none begins at bar 41: it is joined to the one before

[[chunk]]
move = "33"        # the chunk that would begin at bar 33 ...
to = "34"          # ... begins at bar 34

[[lead]]
bars = "C-C+8"
player = 3
"""

from score.chunks.chunk import ChunkEdits
from score.errors import GroupFileError, InbreathError
from score.group.group_file import Group, Table, group_tables
from score.piece import Piece
from score.places import find_bar, find_bars, find_player
from score.time.from_group import kept_tables, pulse_options

_WAYS = ("bars", "split", "merge", "move")


def chunk_edits(group: Group, piece: Piece) -> ChunkEdits:
    """The group's wishes as bar indices.

    Raises:
        GroupFileError: a bar or player that is not there, a table that says nothing, or two that contradict.
    """
    begins: set[int] = set()
    joined: set[int] = set()
    for table in group_tables(group, "chunk"):
        _read(table, piece, begins, joined)
    both = begins & joined
    if both and group.path is not None:
        label = piece.bars[min(both)].label
        raise GroupFileError(
            "Group's file", f"{group.path.name}: a chunk both begins and does not begin at bar {label}", "keep one"
        )
    leads = tuple(_lead(table, piece) for table in kept_tables(group, "lead"))
    return ChunkEdits(frozenset(begins), frozenset(joined), leads, pulse=pulse_options(group, piece))


def _read(table: Table, piece: Piece, begins: set[int], joined: set[int]) -> None:
    ways = [way for way in _WAYS if table.text(way)]
    if len(ways) != 1:
        raise table.wrong("needs one of bars, split, merge or move", 'write for example split = "25"')
    (way,) = ways
    if way == "bars":
        bars = _bars(table, piece, table.text("bars"))
        begins.add(bars[0])
        joined.update(bars[1:])
        if bars[-1] + 1 < len(piece.bars):
            begins.add(bars[-1] + 1)
    elif way == "split":
        begins.add(_bar(table, piece, table.text("split")))
    elif way == "merge":
        joined.add(_bar(table, piece, table.text("merge")))
    else:
        joined.add(_bar(table, piece, table.text("move")))
        begins.add(_bar(table, piece, table.text("to")))


def _lead(table: Table, piece: Piece) -> tuple[range, int]:
    number = table.number("player")
    try:
        find_player(piece, number)
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    return _bars(table, piece, table.text("bars")), number


def _bars(table: Table, piece: Piece, text: str) -> range:
    try:
        return find_bars(piece, text)
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error


def _bar(table: Table, piece: Piece, text: str) -> int:
    try:
        return find_bar(piece, text)
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error

"""The group's own file beside the score: who plays what, and what the group has decided.

TOML, made to be read, edited by hand, mailed and merged with a text diff. Beside ``quartet.musicxml``
it is called ``quartet.group.toml``. Bars are written as they are printed ("17-32"). Every table is
optional, and so is the file.

    [[player]]
    number = 2
    name = "Second"            # how the parts call this player
    short = "2"                # how cues call this player
    parts = ["Marimba 2", "Triangle"]   # printed names or MusicXML ids of the score's parts

    [[cue]]
    player = 2                 # whose part
    bars = "17-20"
    show = 3                   # this player's rhythm, whatever the rules say ...
    # hide = 3                 # ... or never this player's; hide = "all": no cue here

The other rooms read tables of their own through `group_tables` and `group_table`; the module `group_tables` knows every
table and field.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from score.errors import GroupFileError
from score.group.checked_table import Table, as_written, check_tables
from score.group.group_tables import AGREED_KINDS

__all__ = [
    "CueWish",
    "Group",
    "PlayerEntry",
    "Table",
    "agreed_only",
    "as_written",
    "group_path",
    "group_table",
    "group_tables",
    "in_force",
    "read_group",
]  # fmt: skip


_ALL = ("rehearsal", "practice")
"""Tables whose entries all count and are named by their place among each other."""


class PlayerEntry(NamedTuple):
    """What the group says of one player; empty fields leave the score's own word."""

    number: int
    name: str = ""
    short: str = ""
    parts: tuple[str, ...] = ()


class CueWish(NamedTuple):
    """A cue the group forces or forbids.

    Attributes:
        player: whose part.
        bars: printed bars, "17-20" or "17".
        show: number of the player to show, or None.
        hide: number of the player never to show, 0 for everybody, or None.
    """

    player: int
    bars: str
    show: int | None = None
    hide: int | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """The whole file; an absent file is an empty `Group`.

    Attributes:
        path: where it stands, None when there is no file.
        players, cues: the tables every room needs.
        tables: the whole file as TOML values, for `group_tables` and `group_table`.
    """

    path: Path | None = None
    players: tuple[PlayerEntry, ...] = ()
    cues: tuple[CueWish, ...] = ()
    tables: Mapping[str, object] = field(default_factory=dict, compare=False)


def group_path(score: Path) -> Path:
    """Where the group's file of a score stands: ``NAME.group.toml`` beside it."""
    return score.with_name(f"{score.stem}.group.toml")


def read_group(path: Path) -> Group:
    """Read the group's file; an absent file gives an empty group.

    Raises:
        GroupFileError: not TOML, or a field that cannot be used; names the table and the field.
    """
    try:
        # Some editors put a byte order mark before the first letter.
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return Group()
    except (OSError, UnicodeDecodeError) as error:
        raise unreadable("Group's file", path, error) from error
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise GroupFileError("Group's file is not TOML", f"{path.name}: {error}", "correct that line") from error
    check_tables(path, tables)
    return Group(
        path,
        tuple(_player(Table(path, "player", entry)) for entry in _list(path, tables, "player")),
        tuple(_cue(Table(path, "cue", entry)) for entry in _list(path, tables, "cue")),
        tables=tables,
    )


def unreadable(whose: str, path: Path, error: OSError | UnicodeDecodeError) -> GroupFileError:
    """The error to raise for a file, the group's or a copy, that is there and cannot be read as text."""
    if isinstance(error, UnicodeDecodeError):
        return GroupFileError(f"{whose} unreadable", f"{path.name} is not UTF-8 text", "save it as UTF-8")
    return GroupFileError(f"{whose} unreadable", f"{path}: {error.strerror or error}", "check that you may read it")


def group_tables(group: Group, name: str) -> tuple[Table, ...]:
    """Every ``[[name]]`` of the group's file, in its order; empty when there is none.

    Raises:
        GroupFileError: the name is there but is not a list of tables.
    """
    if group.path is None:
        return ()
    return tuple(Table(group.path, name, entry) for entry in _list(group.path, group.tables, name))


def group_table(group: Group, name: str) -> Table | None:
    """The single table ``[name]`` of the group's file, or None when it is not there.

    Raises:
        GroupFileError: the name is there but is not a table.
    """
    if group.path is None or name not in group.tables:
        return None
    return Table(group.path, name, group.tables[name], single=True)


def agreed_only(group: Group) -> Group:
    """The group's file without what is only tried, or was dropped."""
    kept = {
        name: [each for each in value if not isinstance(each, dict) or each.get("state", "agreed") == "agreed"]
        for name, value in group.tables.items()
        if name in AGREED_KINDS and isinstance(value, list)
    }
    return replace(group, tables={**group.tables, **kept})


def in_force(tables: Mapping[str, object], name: str) -> list[int]:
    """Positions of the entries of a name that hold: while copies of the file disagree, what stands first in it."""
    value = tables.get(name, [])
    entries = value if isinstance(value, list) else []
    against = dict(_unsettled(tables))
    seen: set[object] = set()
    positions = []
    for position, entry in enumerate(entries):
        key = entry.get("id") if isinstance(entry, dict) and name not in _ALL else None
        if key is None or not (key in seen or seen & against.get(key, set())):
            positions.append(position)
        seen.add(key)
    return positions


def _list(path: Path, tables: Mapping[str, object], name: str) -> list[object]:
    value = tables.get(name, [])
    if not isinstance(value, list):
        raise GroupFileError("Group's file", f"{path.name}: {name} is not a list", f"write it as [[{name}]]")
    return [value[position] for position in in_force(tables, name)]


def _unsettled(tables: Mapping[str, object]) -> Iterator[tuple[object, set[object]]]:
    """Each entry that was gathered and cannot stand beside others at its place, with those others."""
    record = tables.get("gathered")
    pairs = str(record.get("not both", "")) if isinstance(record, dict) else ""
    others: dict[object, set[object]] = {}
    for pair in filter(None, map(str.split, pairs.split(";"))):
        first, *rest = (token.partition(":")[0] for token in pair)
        for second in rest:
            others.setdefault(first, set()).add(second)
            others.setdefault(second, set()).add(first)
    return iter(others.items())


def _player(table: Table) -> PlayerEntry:
    return PlayerEntry(table.number("number"), table.text("name"), table.text("short"), parts=table.texts("parts"))


def _cue(table: Table) -> CueWish:
    player, bars = table.number("player"), table.text("bars")
    if not bars:
        raise table.wrong(f"for player {player} has no bars", 'write bars = "17-20"')
    if ("show" in table.entry) == ("hide" in table.entry):
        raise table.wrong(f"for player {player}, bars {bars} needs either show or hide", "keep one of them")
    if "show" in table.entry:
        return CueWish(player, bars, show=table.number("show"))
    hide = 0 if table.entry["hide"] == "all" else table.number("hide")
    return CueWish(player, bars, hide=hide)

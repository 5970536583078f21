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

The other rooms read tables of their own from `Group.tables`, through `group_tables`.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NamedTuple

from score.errors import GroupFileError

KNOWN_TABLES = frozenset(
    {"player", "cue", "share", "station", "marimba", "fitting", "limits", "hands", "owned", "chunk", "lead"}
    | {"shape", "hold", "tempo", "rehearsal", "concert", "practice", "note"}
)
"""Every table and field at the top of the file that some room reads: a new one is named here too."""


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
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Group()
    except (OSError, UnicodeDecodeError) as error:
        raise GroupFileError("Group's file unreadable", f"{path.name}: {error}", "save it as UTF-8 text") from error
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise GroupFileError("Group's file is not TOML", f"{path.name}: {error}", "correct that line") from error
    return Group(
        path,
        tuple(_player(Table(path, "player", entry)) for entry in _list(path, tables, "player")),
        tuple(_cue(Table(path, "cue", entry)) for entry in _list(path, tables, "cue")),
        tables,
    )


def group_tables(group: Group, name: str) -> tuple["Table", ...]:
    """Every ``[[name]]`` of the group's file, in its order; empty when there is none.

    Raises:
        GroupFileError: the name is there but is not a list of tables.
    """
    if group.path is None:
        return ()
    return tuple(Table(group.path, name, entry) for entry in _list(group.path, group.tables, name))


def group_table(group: Group, name: str) -> "Table | None":
    """The single table ``[name]`` of the group's file, or None when it is not there.

    Raises:
        GroupFileError: the name is there but is not a table.
    """
    if group.path is None or name not in group.tables:
        return None
    return Table(group.path, name, group.tables[name], single=True)


class Table:
    """One TOML table with checks that name file, table and field.

    Every method raises `GroupFileError` in one line when the field cannot be used.
    """

    def __init__(self, path: Path, name: str, entry: object, single: bool = False) -> None:
        self.path, self.name = path, name
        self.heading = f"[{name}]" if single else f"[[{name}]]"
        if not isinstance(entry, dict):
            raise self.wrong("is not a table", f"write it as {self.heading}")
        self.entry: dict[str, Any] = entry

    def wrong(self, what: str, remedy: str) -> GroupFileError:
        """The error to raise: what is wrong in this table, and what to write instead."""
        return GroupFileError("Group's file", f"{self.path.name}: {self.heading} {what}", remedy)

    def only(self, *known: str) -> None:
        """Refuse a field that is none of these: a slip of the pen would be a wish nobody hears."""
        for name in self.entry:
            if name not in known:
                near = get_close_matches(name, known, 1)
                remedy = f"write {near[0]}" if near else f"there are {', '.join(known)}"
                raise self.wrong(f"{name} is not known", remedy)

    def number(self, field: str) -> int:
        """A whole number from 1."""
        value = self.entry.get(field)
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            raise self.wrong(f"needs {field} as a whole number from 1", f"write {field} = 1")
        return value

    def text(self, field: str) -> str:
        """Text, "" when absent; a whole number counts as text."""
        value = self.entry.get(field, "")
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            raise self.wrong(f"{field} is not text", f'write {field} = "..."')
        return value

    def texts(self, field: str) -> tuple[str, ...]:
        """A list of texts, empty when absent."""
        value = self.entry.get(field, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.wrong(f"{field} is not a list of texts", f'write {field} = ["...", "..."]')
        return tuple(value)

    def figure(self, field: str, default: float, low: float, high: float) -> float:
        """A figure from low to high, `default` when absent."""
        value = self.entry.get(field, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            what = f"{field} = {as_written(value)} is not a figure from {as_written(low)} to {as_written(high)}"
            raise self.wrong(what, f"write {field} = {as_written(default)}")
        return float(value)


def as_written(value: object) -> str:
    """A value of the group's file in words: lists without brackets, large figures in full."""
    if isinstance(value, list | tuple):
        return ", ".join(map(as_written, value)) or "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, str):
        return f'"{value}"'
    return "nothing" if value is None else "a table" if isinstance(value, dict) else str(value)


def _list(path: Path, tables: Mapping[str, object], name: str) -> list[object]:
    value = tables.get(name, [])
    if not isinstance(value, list):
        raise GroupFileError("Group's file", f"{path.name}: {name} is not a list", f"write it as [[{name}]]")
    return value


def _player(table: Table) -> PlayerEntry:
    return PlayerEntry(table.number("number"), table.text("name"), table.text("short"), table.texts("parts"))


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

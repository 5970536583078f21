"""One table of a file that people edit, with checks that name file, table and field in one line."""

import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from score.errors import GroupFileError
from score.group.group_tables import EXAMPLES, TABLES, VALUES, Holds, heading
from score.plain_text import harmless


class Table:
    """One TOML table.

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

    def check(self, fields: Mapping[str, Holds]) -> None:
        """Refuse a field that is none of these, or that holds something else than it may.

        A slip of the pen would otherwise be a wish nobody hears.
        """
        for name, value in self.entry.items():
            if name not in fields:
                raise self.wrong(f"{name} is not known", nearest(name, fields, str))
            if not holds(value, fields[name]):
                what = f"{name} = {as_written(value)} is not {fields[name]}"
                raise self.wrong(what, f"write {name} = {EXAMPLES[fields[name]]}")

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
        return harmless(value)

    def texts(self, field: str) -> tuple[str, ...]:
        """A list of texts, empty when absent."""
        value = self.entry.get(field, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.wrong(f"{field} is not a list of texts", f'write {field} = ["...", "..."]')
        return tuple(map(harmless, value))

    def numbers(self, field: str) -> tuple[int, ...]:
        """A list of players' numbers, empty when absent."""
        value = self.entry.get(field, [])
        if not holds(value, Holds.COUNTS):
            raise self.wrong(f"{field} = {as_written(value)} is not {Holds.COUNTS}", f"write {field} = [1, 2]")
        return tuple(value)

    def figure(self, field: str, default: float, low: float, high: float) -> float:
        """A figure from low to high, `default` when absent."""
        value = self.entry.get(field, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            what = f"{field} = {as_written(value)} is not a figure from {as_written(low)} to {as_written(high)}"
            raise self.wrong(
                what, f"write {field} = {as_written(default)}" if default else f"correct it, or leave {field} out"
            )
        return float(value)


def check_tables(path: Path, tables: Mapping[str, object]) -> None:
    """Refuse a table, value or field that no room reads, with the nearest name that one does.

    Raises:
        GroupFileError: the first of them, in one line.
    """
    for name, value in tables.items():
        if name in VALUES:
            if not holds(value, VALUES[name]):
                what = f"{path.name}: {name} = {as_written(value)} is not {VALUES[name]}"
                raise GroupFileError("Group's file", what, f"write {name} = {EXAMPLES[VALUES[name]]}")
        elif name in TABLES:
            _check_table(path, name, value)
        else:
            written = f"[[{name}]]" if isinstance(value, list) else f"[{name}]" if isinstance(value, dict) else name
            remedy = nearest(name, [*TABLES, *VALUES], heading)
            raise GroupFileError("Group's file", f"{path.name}: {written} is not known", remedy)


def _check_table(path: Path, name: str, value: object) -> None:
    kind = TABLES[name]
    if not kind.listed:
        table = Table(path, name, value, single=True)
        table.check(dict.fromkeys(table.entry, Holds.TEXT) if kind.free else kind.fields)
        return
    if not isinstance(value, list):
        raise GroupFileError("Group's file", f"{path.name}: {name} is not a list", f"write it as [[{name}]]")
    for entry in value:
        Table(path, name, entry).check(kind.fields)


def nearest(name: str, names: "Mapping[str, object] | list[str]", written: Callable[[str], str]) -> str:
    """A remedy: the nearest of the names, or all of them where none is near."""
    near = get_close_matches(name.lower(), list(names), 1)
    return f"write {written(near[0])}" if near else f"there are {', '.join(names)}"


def holds(value: object, what: Holds) -> bool:
    """The value is of that sort."""
    return _CHECKS[what](value)


def _is_count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 1


def _is_text(value: object) -> bool:
    return isinstance(value, str) or (isinstance(value, int) and not isinstance(value, bool))


def _is_figure(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_moment(value: object) -> bool:
    if isinstance(value, str):
        try:
            datetime.fromisoformat(value)
        except ValueError:
            return False
        return True
    return isinstance(value, datetime)


_CHECKS: Mapping[Holds, Callable[[object], bool]] = {
    Holds.COUNT: _is_count,
    Holds.FIGURE: _is_figure,
    Holds.TEXT: _is_text,
    Holds.TEXTS: lambda value: isinstance(value, list) and all(isinstance(each, str) for each in value),
    Holds.COUNTS: lambda value: isinstance(value, list) and all(map(_is_count, value)),
    Holds.DAY: lambda value: isinstance(value, date),
    Holds.MOMENT: _is_moment,
    Holds.PLAYER_OR_ALL: lambda value: value == "all" or _is_count(value),
}


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

"""Changing the group's file: tables added or taken out, comments and order kept, the file whole or not at all."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from score.errors import GroupFileError
from score.writing import write_atomically


def add_table(path: Path, name: str, values: Mapping[str, Any]) -> bytes:
    """Add a ``[[name]]`` table; gives back the file's bytes before the change (empty when there was none).

    Raises:
        GroupFileError: the file is no TOML.
        WritingError: it cannot be written.
    """
    before, document = _read(path)
    table = tomlkit.table()
    for key, value in values.items():
        table.add(key, value)
    tables = document.get(name)
    if tables is None:
        tables = tomlkit.aot()
        document.append(name, tables)
    tables.append(table)
    write_atomically(path, tomlkit.dumps(document).encode())
    return before


def remove_table(path: Path, name: str, position: int) -> bytes:
    """Take out one ``[[name]]`` table by its position; gives back the file's bytes before.

    Raises:
        GroupFileError: the file is no TOML or has no such table.
        WritingError: it cannot be written.
    """
    before, document = _read(path)
    tables = document.get(name)
    if tables is None or not 0 <= position < len(tables):
        raise GroupFileError("Group's file", f"{path.name} has no such [[{name}]]", "read it again")
    del tables[position]
    write_atomically(path, tomlkit.dumps(document).encode())
    return before


def set_value(path: Path, name: str, value: Any) -> bytes:
    """Set a value at the top of the file; gives back the file's bytes before.

    Raises:
        GroupFileError: the file is no TOML.
        WritingError: it cannot be written.
    """
    before, document = _read(path)
    if name in document:
        document[name] = value
    else:
        # A plain value must stand before the first table.
        fresh = tomlkit.document()
        fresh.add(name, value)
        text = tomlkit.dumps(fresh) + ("\n" if before else "") + before.decode()
        write_atomically(path, text.encode())
        return before
    write_atomically(path, tomlkit.dumps(document).encode())
    return before


def put_back(path: Path, before: bytes) -> None:
    """Undo: the file's bytes as they were; an empty one is taken away again.

    Raises:
        WritingError: it cannot be written.
    """
    if before:
        write_atomically(path, before)
    else:
        path.unlink(missing_ok=True)


def _read(path: Path) -> tuple[bytes, tomlkit.TOMLDocument]:
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return b"", tomlkit.document()
    try:
        return data, tomlkit.parse(data.decode())
    except (TOMLKitError, UnicodeDecodeError) as error:
        raise GroupFileError("Group's file is not TOML", f"{path.name}: {error}", "correct that line") from error

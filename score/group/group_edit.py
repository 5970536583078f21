"""Changing the group's file: entries added, changed or taken out, every other letter left alone, the file whole or not.

Every change gives back the file's bytes before it, so that it can be undone letter for letter.
"""

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import tomlkit

from score.errors import GroupFileError
from score.group.entry_blocks import Blocks, comments_of, cut_blocks, line_end
from score.group.entry_text import changed_fields, entry_block, ids_of, new_id, with_fields_at
from score.group.group_file import in_force, unreadable
from score.group.group_tables import TABLES
from score.writing import write_atomically

_MARK = "\ufeff"
_LAST = "gathered"
"""The table that stays the last one."""


def add_table(path: Path, name: str, values: Mapping[str, Any]) -> bytes:
    """Add a ``[[name]]`` entry after all others, with an id of its own unless the values hold one.

    Raises:
        GroupFileError: the file is not TOML.
        WritingError: it cannot be written.
    """

    def added(blocks: Blocks) -> Blocks:
        fields = dict(values)
        if "id" not in fields and name in TABLES and "id" in TABLES[name].fields:
            fields = {"id": new_id(name, ids_of(blocks)), **fields}
        places = blocks.places(_LAST)
        where = places[0] if places and places[0] == len(blocks.blocks) - 1 else len(blocks.blocks)
        return blocks.insert(where, entry_block(name, fields, line_end(blocks.text)))

    return _edit(path, added)


def remove_table(path: Path, name: str, position: int) -> bytes:
    """Take out one ``[[name]]`` entry by its position among those of its name in force, with its comments.

    Raises:
        GroupFileError: the file is not TOML or has no such entry.
        WritingError: it cannot be written.
    """
    return _edit(path, lambda blocks: blocks.remove(_place(path, blocks, name, position)))


def change_table(path: Path, name: str, position: int, values: Mapping[str, Any]) -> bytes:
    """Change fields of one ``[[name]]`` entry; None takes a field out. Agreed music that changes is only tried.

    Raises:
        GroupFileError: the file is not TOML or has no such entry.
        WritingError: it cannot be written.
    """
    return _edit(path, lambda blocks: _changed(blocks, _place(path, blocks, name, position), values))


def set_value(path: Path, name: str, value: Any) -> bytes:
    """Set a value at the top of the file, under its opening comment.

    Raises:
        GroupFileError: the file is not TOML.
        WritingError: it cannot be written.
    """
    return _edit(path, lambda blocks: with_value(blocks, name, value))


def put_back(path: Path, before: bytes) -> None:
    """Undo: the file's bytes as they were; an empty one is taken away again.

    Raises:
        WritingError: the bytes cannot be written.
    """
    if before:
        write_atomically(path, before)
    else:
        path.unlink(missing_ok=True)


def with_value(blocks: Blocks, name: str, value: Any) -> Blocks:
    """The blocks with a value at the top of the file; None takes it out, one that is the same changes no letter."""
    head = tomlkit.parse(blocks.gaps[0])
    if name in head:
        if value is None:
            del head[name]
        elif tomllib.loads(blocks.gaps[0])[name] != value:
            head[name] = value
        return blocks._replace(gaps=(tomlkit.dumps(head), *blocks.gaps[1:]))
    if value is None:
        return blocks
    return cut_blocks(_with_line(blocks, f"{name} = {tomlkit.item(value).as_string()}"))


def _changed(blocks: Blocks, place: int, values: Mapping[str, Any]) -> Blocks:
    return with_fields_at(blocks, place, changed_fields(blocks.blocks[place], values))


def _edit(path: Path, change: Callable[[Blocks], Blocks]) -> bytes:
    before, blocks = _read(path)
    text = change(blocks).text
    _parsed(path, text)
    mark = _MARK if before.startswith(_MARK.encode()) else ""
    write_atomically(path, (mark + text).encode())
    return before


def _read(path: Path) -> tuple[bytes, Blocks]:
    try:
        before = path.read_bytes()
    except FileNotFoundError:
        return b"", cut_blocks("")
    try:
        text = before.decode().removeprefix(_MARK)
    except UnicodeDecodeError as error:
        raise unreadable("Group's file", path, error) from error
    _parsed(path, text)
    return before, cut_blocks(text)


def _parsed(path: Path, text: str) -> None:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise GroupFileError("Group's file is not TOML", f"{path.name}: {error}", "correct that line") from error


def _place(path: Path, blocks: Blocks, name: str, position: int) -> int:
    """Where an entry stands, by its position among those of its name that are in force, as rooms read them."""
    places = blocks.places(name)
    positions = in_force(tomllib.loads(blocks.text), name)
    if not 0 <= position < len(positions):
        raise GroupFileError("Group's file", f"{path.name} has no such [[{name}]]", "read it again")
    return places[positions[position]]


def _with_line(blocks: Blocks, line: str) -> str:
    """The text with a new line among the values at the top."""
    text, head = blocks.text, blocks.gaps[0]
    end = line_end(text)
    lines = head.splitlines(keepends=True)
    values = [index for index, each in enumerate(lines) if each.strip() and not each.lstrip().startswith("#")]
    if values:
        top, rest = "".join(lines[: values[-1] + 1]), "".join(lines[values[-1] + 1 :]) + text[len(head) :]
        return _ended(top, end) + line + end + rest
    opening = _opening_comment(text)
    rest = text[len(opening) :]
    top = _ended(opening, end) + end if opening else ""
    return top + line + end + (end if rest and not rest.startswith(("\n", "\r\n")) else "") + rest


def _opening_comment(text: str) -> str:
    """The comment lines a file begins with."""
    count = 0
    lines = text.splitlines(keepends=True)
    while count < len(lines) and comments_of(lines[count]) and lines[count].lstrip().startswith("#"):
        count += 1
    return "".join(lines[:count])


def _ended(text: str, end: str) -> str:
    return text if not text or text.endswith("\n") else text + end

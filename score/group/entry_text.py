"""One entry of the group's file as letters: written anew, or with some of its fields changed and every comment kept."""

import secrets
import tomllib
from collections.abc import Collection, Mapping
from functools import lru_cache
from typing import Any

import tomlkit

from score.group.entry_blocks import Block, Blocks, line_end
from score.group.group_tables import AGREED_KINDS, TABLES

WORDS = ("text", "name")
"""What is said of an entry, apart from its music."""

ASIDE = frozenset({"id", "by", "state", "on", *WORDS})
"""Fields that are not the entry's music."""


def new_id(name: str, taken: Collection[str]) -> str:
    """An id for a table of this name that is not taken: its letter and six of 0-9 and a-f."""
    while (fresh := name[0] + secrets.token_hex(3)) in taken:
        pass
    return fresh


def ids_of(blocks: Blocks) -> dict[str, int]:
    """Every id to where its block stands; of two with one id the first."""
    places: dict[str, int] = {}
    for index, block in enumerate(blocks.blocks):
        entry_id = values_of(block).get("id") if block.listed else None
        if isinstance(entry_id, str):
            places.setdefault(entry_id, index)
    return places


@lru_cache(maxsize=4096)
def values_of(block: Block) -> Mapping[str, Any]:
    """The fields of one block."""
    tables = tomllib.loads(block.text)[block.name]
    entry = tables[0] if block.listed else tables
    assert isinstance(entry, dict)
    return entry


def entry_block(name: str, values: Mapping[str, Any], end: str = "\n", *, listed: bool | None = None) -> Block:
    """A new block; fields that are None are left out.

    Args:
        name: of the table.
        values: its fields, in their order.
        end: how lines end.
        listed: one of a list; as in the group's file where that is not said.
    """
    if listed is None:
        listed = name not in TABLES or TABLES[name].listed
    lines = [f"[[{name}]]" if listed else f"[{name}]"]
    lines += [_line(key, value) for key, value in values.items() if value is not None]
    return Block(name, listed, "".join(line + end for line in lines))


def with_fields(block: Block, values: Mapping[str, Any]) -> Block:
    """The block with other values; a field that is None is taken out, one that is new comes last (an id first)."""
    document = tomlkit.parse(block.text)
    holder: Any = document[block.name]
    table = holder[0] if block.listed else holder
    text = block.text
    fresh = {key: value for key, value in values.items() if value is not None and key not in table}
    for key, value in values.items():
        if value is None and key in table:
            del table[key]
        elif value is not None and key in table and table[key] != value:
            table[key] = value
    text = tomlkit.dumps(document)
    for key, value in fresh.items():
        text = _with_line(block._replace(text=text), key, value)
    return block._replace(text=text)


def with_fields_at(blocks: Blocks, place: int, values: Mapping[str, Any]) -> Blocks:
    """The blocks with other values in the one that stands at a place, as in `with_fields`."""
    return blocks.replace(place, with_fields(blocks.blocks[place], values).text)


def changed_fields(block: Block, values: Mapping[str, Any]) -> dict[str, Any]:
    """The values to write when somebody changes an entry: other music than was agreed on is only tried."""
    before = values_of(block)
    music = any(key not in ASIDE and before.get(key) != value for key, value in values.items())
    if block.name in AGREED_KINDS and music and "state" not in values and before.get("state", "agreed") == "agreed":
        return {**values, "state": "tried"}
    return dict(values)


def _with_line(block: Block, key: str, value: object) -> str:
    """The block's text with one more field: an id under its header, anything else after its last value."""
    end = line_end(block.text)
    lines = block.text.splitlines(keepends=True)
    header = next(index for index, line in enumerate(lines) if line.lstrip().startswith("["))
    last = max(index for index, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#"))
    place = (header if key == "id" else max(header, last)) + 1
    ended = lines[place - 1].endswith("\n")
    if not ended:
        lines[place - 1] += end
    lines.insert(place, _line(key, value) + (end if ended or place < len(lines) else ""))
    return "".join(lines)


def _line(key: str, value: object) -> str:
    return f"{key} = {tomlkit.item(value).as_string()}"

"""What an entry says, as short hashes, and the id it has or gets from what it says."""

import tomllib
from collections import Counter
from collections.abc import Mapping
from typing import Any

from score.group.entry_blocks import Block, Blocks
from score.group.entry_text import ASIDE, WORDS, values_of
from score.group.group_tables import AGREED_KINDS, TABLES
from score.group.version_chain import WORDLESS, Record, digest

LAST = "gathered"
"""The table that stays the last one: the record."""

_SINGLE_PER = {
    "player": ("number",),
    "station": ("player",),
    "marimba": ("player",),
    "practice": ("player",),
    "fitting": ("instrument",),
    "share": ("instrument", "players"),
    "rehearsal": ("at",),
}
"""Tables of which there is one for each of these."""


def music_key(name: str, values: Mapping[str, Any]) -> str:
    """What an entry's music says, with the letter of its state."""
    if name not in AGREED_KINDS:
        return digest([name, {key: value for key, value in values.items() if key != "id"}])
    music = {key: value for key, value in values.items() if key not in ASIDE}
    return digest([name, music]) + str(values.get("state", "agreed"))[:1]


def words_key(name: str, values: Mapping[str, Any]) -> str:
    """What an entry's words say."""
    words = {key: values[key] for key in WORDS if key in values}
    return digest(words) if words and name in AGREED_KINDS else WORDLESS


def comment_key(comment: str) -> str:
    """The short hash of a comment."""
    return digest(comment, 6)


def values_in(name: str, text: str) -> Mapping[str, Any]:
    """The fields of an entry's letters; those of a value at the top are that value."""
    return values_of(Block(name, TABLES[name].listed, text)) if name in TABLES else tomllib.loads(text)


def ids_in(blocks: Blocks, records: Mapping[str, Record]) -> tuple[str, ...]:
    """The id of each block: its own, the one it lost, or one from what it says."""
    values = [values_of(block) for block in blocks.blocks]
    singles = Counter(filter(None, map(_single_id, blocks.blocks, values)))
    own = {value.get("id") for value in values}
    lost = {
        version.key: key
        for key, record in records.items()
        if key not in own
        for version in record.music.versions.values()
    }
    ids: list[str] = []
    for block, fields in zip(blocks.blocks, values, strict=True):
        ids.append(_id(block, fields, singles, lost=lost, records=records, before=ids))
    return tuple(ids)


def _id(
    block: Block,
    fields: Mapping[str, Any],
    singles: Mapping[str, int],
    *,
    lost: dict[str, str],
    records: Mapping[str, Record],
    before: list[str],
) -> str:
    if block.name == LAST:
        return ""
    if not block.listed:
        return f"[{block.name}]"
    own, key = str(fields.get("id", "")), music_key(block.name, fields)
    by_content = block.name[0] + digest([block.name, key, words_key(block.name, fields)], 6)
    if own:
        # An entry copied by hand together with its id is another entry, unless it is one side of a conflict.
        sides = records[own].music.contents() if own in records else {}
        return own if before.count(own) < max(1, len(sides)) or key in sides else by_content
    if key in lost:
        return lost.pop(key)
    single = _single_id(block, fields)
    return single if single and singles[single] == 1 else by_content


def _single_id(block: Block, fields: Mapping[str, Any]) -> str:
    if "id" in fields or block.name not in _SINGLE_PER:
        return ""
    return block.name[0] + digest([block.name, [fields.get(field) for field in _SINGLE_PER[block.name]]], 6)


def is_whole(ids: tuple[str, ...], records: Mapping[str, Record]) -> bool:
    """The record stands behind every entry it knows, and behind one at least."""
    if "" not in ids:
        return False
    place = ids.index("")
    before, after = set(ids[:place]) & set(records), set(ids[place:]) & set(records)
    return bool(before) and not after

"""The letters of a joined file: the first copy's as they are, what came in set among them, the record at the end."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import tomlkit

from score.group.entry_blocks import Block, Blocks, comments_of, cut_blocks, line_end
from score.group.entry_keys import LAST, values_in
from score.group.entry_text import WORDS, values_of, with_fields
from score.group.gather import RECORD_COMMENT, Joined, sides_of
from score.group.group_copy import COMMENTS, KEPT, NOT_BOTH, SCORE, CopyEntry
from score.group.group_edit import with_value
from score.group.group_tables import TABLES, VALUES
from score.group.version_chain import Record, Version, record_text


def joined_text(joined: Joined, apart: str = "") -> str:
    """The letters of the joined file.

    Args:
        joined: the copies.
        apart: overlapping entries that are not settled, as the record writes them.
    """
    texts = {key: _texts(key, joined) for key in joined.order}
    blocks = _placed(_valued(joined), joined, texts)
    return _with_record(_with_loose(blocks, joined.loose[0]), _record(joined, apart))


def _texts(key: str, joined: Joined) -> list[str]:
    """The blocks of one entry: one for each content that stands against another."""
    entry = joined.entries[key]
    if entry.name not in TABLES:
        return []
    music = [version.text for version in _ranked(key, joined, sides_of(entry))]
    words = [version.text for version in _ranked(key, joined, entry.record.words.contents())] or [""]
    count = max(len(music), len(words)) if music else 0
    if not TABLES[entry.name].listed:
        count = min(count, 1)
    texts = [
        _worded(key, entry.name, music[min(index, len(music) - 1)], words[min(index, len(words) - 1)])
        for index in range(count)
    ]
    missing = sorted(entry.comments - {comment for text in texts for comment in comments_of(text)})
    if texts and missing:
        end = line_end(texts[0])
        texts[0] = "".join(comment + end for comment in missing) + texts[0]
    return texts


def _ranked(key: str, joined: Joined, sides: Mapping[str, Version]) -> list[Version]:
    """What the base says first, in its order, then the rest by what it says."""
    own = [block.text for name, block in zip(joined.base.ids, joined.base.blocks.blocks, strict=True) if name == key]
    entry = joined.base.entries.get(key)
    chains = (entry.record.music, entry.record.words) if entry else ()
    mine = {version.key for chain in chains for version in chain.versions.values()}

    def rank(version: Version) -> tuple[bool, int, str]:
        return version.key not in mine, own.index(version.text) if version.text in own else len(own), version.key

    return sorted((version for version in sides.values() if version.text), key=rank)


def _worded(key: str, name: str, text: str, words: str) -> str:
    """A block with its id and with the words of another."""
    block = Block(name, TABLES[name].listed, text)
    if not block.listed:
        return text
    fields: dict[str, Any] = {"id": key}
    if words:
        said = values_in(name, words)
        fields |= {field: said.get(field) for field in WORDS if field in TABLES[name].fields}
    before = values_of(block)
    changed = {field: value for field, value in fields.items() if before.get(field) != value}
    return with_fields(block, changed).text if changed else text


def _valued(joined: Joined) -> Blocks:
    """The base's blocks with the values at the top."""
    blocks = joined.base.blocks
    for name in VALUES:
        if name in joined.entries:
            versions = [v for v in sides_of(joined.entries[name]).values() if v.text]
            own = tomllib.loads(blocks.gaps[0]).get(name)
            values = sorted((values_in(name, version.text)[name] for version in versions), key=str)
            if values:
                blocks = with_value(blocks, name, own if own in values else values[0])
            elif joined.entries[name].record.music.versions:
                blocks = with_value(blocks, name, None)
    return blocks


def _placed(blocks: Blocks, joined: Joined, texts: Mapping[str, list[str]]) -> Blocks:
    """The base's blocks with every entry's letters, new ones behind what they followed."""
    ids = list(joined.base.ids)
    last = {key: index for index, key in enumerate(ids)}
    rest = {key: list(own) for key, own in texts.items()}
    # From the end, so that places before stay what they are; the record is written anew unless it is the last table.
    for index in reversed(range(len(ids))):
        key = ids[index]
        count = ids[: index + 1].count(key)
        own = rest.get(key, [])[count - 1 :] if index == last[key] else rest.get(key, [])[count - 1 : count]
        if own:
            blocks = _written(blocks, index, own, joined.entries[key].name)
            ids[index : index + 1] = [key] * len(own)
        elif key or index < len(ids) - 1:
            blocks = blocks.remove(index)
            del ids[index]
    return _with_new(blocks, ids, joined, texts)


def _written(blocks: Blocks, index: int, texts: Sequence[str], name: str) -> Blocks:
    """The block at this index with other letters, and more blocks behind it."""
    end = line_end(blocks.text)
    blocks = blocks.replace(index, _ended(texts[0], end, index == len(blocks.blocks) - 1))
    for step, text in enumerate(texts[1:], 1):
        blocks = blocks.insert(index + step, Block(name, True, _ended(text, end, False)))
    return blocks


def _with_new(blocks: Blocks, ids: list[str], joined: Joined, texts: Mapping[str, list[str]]) -> Blocks:
    before = ""
    for key in joined.order:
        if key not in ids:
            index = len(ids) - ids[::-1].index(before) if before in ids and before else 0
            for text in texts[key]:
                name = joined.entries[key].name
                end = line_end(blocks.text)
                blocks = blocks.insert(index, Block(name, TABLES[name].listed, _ended(text, end, False)))
                ids.insert(index, key)
                index += 1
        before = key if key in ids else before
    return blocks


def _ended(text: str, end: str, last: bool) -> str:
    text = text.replace("\r\n", "\n").replace("\n", end)
    return text if last or text.endswith(end) else text + end


def _with_loose(blocks: Blocks, comments: Sequence[str]) -> Blocks:
    """With comments of other copies that stood on their own, at the end."""
    if not comments:
        return blocks
    places = blocks.places(LAST)
    index = places[-1] if places else len(blocks.blocks)
    end = line_end(blocks.text)
    gap = blocks.gaps[index]
    if not gap and index == 0:
        lines = ""
    else:
        lines = gap if gap.endswith(("\n\n", "\r\n\r\n")) or gap in ("\n", "\r\n") else gap + end
    more = lines + "".join(comment + end for comment in comments) + (end if places else "")
    return blocks._replace(gaps=(*blocks.gaps[:index], more, *blocks.gaps[index + 1 :]))


def _record(joined: Joined, apart: str) -> dict[str, str]:
    fields: dict[str, str] = {}
    alive = [key for key in (*VALUES, *joined.order) if key in joined.entries]
    for key in dict.fromkeys((*alive, *sorted(joined.entries))):
        entry = joined.entries[key]
        fields[key] = record_text(entry.record if _stands(entry) else _without_letters(entry.record))
        fields |= dict(_kept(key, joined))
    notes = {SCORE: joined.score, NOT_BOTH: apart, COMMENTS: " ".join(sorted(joined.loose[1]))}
    return {**fields, **{key: text for key, text in notes.items() if text}}


def _stands(entry: CopyEntry) -> bool:
    return any(version.text for version in sides_of(entry).values())


def _without_letters(record: Record) -> Record:
    versions = {name: version._replace(text="") for name, version in record.words.versions.items()}
    return record._replace(words=record.words._replace(versions=versions))


def _kept(key: str, joined: Joined) -> Iterator[tuple[str, str]]:
    """Texts of a conflict's other sides, where the file can hold one of them only."""
    entry = joined.entries[key]
    if (entry.name in TABLES and TABLES[entry.name].listed) or not entry.name:
        return
    for name, version in sorted(entry.record.music.versions.items()):
        if len(sides_of(entry)) > 1 and version.text:
            yield f"{KEPT}{key} {name}", version.text


def _with_record(blocks: Blocks, fields: Mapping[str, str]) -> str:
    """The letters with the record as the last table; one that says the same is left as it is."""
    places = blocks.places(LAST)
    end = line_end(blocks.text)
    if len(places) == 1 and places[0] == len(blocks.blocks) - 1 and values_of(blocks.blocks[-1]) == fields:
        return blocks.text
    for place in reversed(places):
        blocks = blocks.remove(place)
    if blocks.text and not blocks.text.endswith("\n"):
        blocks = cut_blocks(blocks.text + end)
    lines = [RECORD_COMMENT, f"[{LAST}]"]
    lines += [f"{tomlkit.key(key).as_string()} = {tomlkit.item(text).as_string()}" for key, text in fields.items()]
    return blocks.insert(len(blocks.blocks), Block(LAST, False, "".join(line + end for line in lines))).text

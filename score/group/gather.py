"""Joining copies of the group's file that the players have edited separately: in any order, at any time.

The result is the union of what every copy holds, less what some copy knows as replaced. So it does not matter which
copy is read first, whether some were joined before, or whether one is read twice (commutative, associative,
idempotent). What is left with two contents is a conflict: both stand in the file until one is chosen.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import tomlkit

from score.group.entry_blocks import Block, Blocks, comments_of, cut_blocks, line_end
from score.group.entry_text import WORDS, values_of, with_fields
from score.group.group_copy import (
    COMMENTS,
    KEPT,
    LAST,
    NOT_BOTH,
    SCORE,
    Entry,
    GroupCopy,
    comment_key,
    values_in,
)
from score.group.group_edit import with_value
from score.group.group_tables import TABLES, VALUES
from score.group.version_chain import Chain, Record, Version, record_text

_RECORD_COMMENT = "# What inbreath gather knows of this file's past. Leave it where it is, at the end."


class Joined(NamedTuple):
    """Copies joined.

    Attributes:
        base: the copy whose letters and order are kept.
        entries: every entry of any copy, by id.
        order: ids in the order to write.
        loose: comments on their own that the base lacks, and hashes of all that were ever seen.
        score: what is recorded of the score.
    """

    base: GroupCopy
    entries: Mapping[str, Entry]
    order: tuple[str, ...]
    loose: tuple[tuple[str, ...], frozenset[str]]
    score: str = ""


def join(copies: Sequence[GroupCopy], score: str = "") -> Joined:
    """All copies as one; the first one's letters and order are kept."""
    entries: dict[str, Entry] = {}
    for copy in copies:
        for key, entry in copy.entries.items():
            entries[key] = _both(entries[key], entry) if key in entries else entry
    entries = {key: _commented(key, entry, copies) for key, entry in entries.items()}
    recorded = next((copy.score for copy in copies if copy.score), "")
    return Joined(copies[0], entries, _order(copies), loose=_loose(copies), score=score or recorded)


def versions_of(entries: Mapping[str, Entry]) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Which versions of music and of words are in force, by id: what joining is exact about."""
    return {
        key: (frozenset(entry.record.music.versions), frozenset(entry.record.words.versions))
        for key, entry in entries.items()
    }


def joined_text(joined: Joined, apart: str = "") -> str:
    """The letters of the joined file.

    Args:
        joined: the copies.
        apart: overlapping entries that are not settled, as the record writes them.
    """
    texts = {key: _texts(key, joined) for key in joined.order}
    blocks = _placed(_valued(joined), joined, texts)
    return _with_record(_with_loose(blocks, joined.loose[0]), _record(joined, apart))


def sides_of(entry: Entry) -> dict[str, Version]:
    """What stands against each other in an entry's music, by what it says; one where nothing does."""
    return entry.record.music.contents()


def _both(first: Entry, second: Entry) -> Entry:
    one, two = first.record, second.record
    record = Record(_joined(one.music, two.music), _joined(one.words, two.words), one.comments | two.comments)
    return Entry(record, first.comments | second.comments, first.name or second.name)


def _joined(first: Chain, second: Chain) -> Chain:
    """Two chains; every version with the text of whichever copy has it."""
    chain = first.joined(second)
    versions = {
        name: version if version.text or name not in second.versions else second.versions[name]
        for name, version in chain.versions.items()
    }
    return chain._replace(versions=versions)


def _commented(key: str, entry: Entry, copies: Sequence[GroupCopy]) -> Entry:
    """The entry with the comments that no copy has taken out."""
    removed: set[str] = set()
    for copy in copies:
        if key in copy.entries:
            here = copy.entries[key]
            removed |= here.record.comments - set(map(comment_key, here.comments))
    return entry._replace(comments=frozenset(c for c in entry.comments if comment_key(c) not in removed))


def _order(copies: Sequence[GroupCopy]) -> tuple[str, ...]:
    """The first copy's order; what is new stands behind what stood before it in its own copy."""
    order = list(dict.fromkeys(filter(None, copies[0].ids)))
    for copy in copies[1:]:
        before = -1
        for key in dict.fromkeys(filter(None, copy.ids)):
            if key in order:
                before = order.index(key)
            else:
                before += 1
                order.insert(before, key)
    return tuple(order)


def _loose(copies: Sequence[GroupCopy]) -> tuple[tuple[str, ...], frozenset[str]]:
    seen = frozenset[str]().union(*(copy.loose[1] | set(map(comment_key, copy.loose[0])) for copy in copies))
    removed = {key for copy in copies for key in copy.loose[1] - set(map(comment_key, copy.loose[0]))}
    standing = {comment_key(comment) for comment in comments_of(copies[0].blocks.text)} | removed
    new = {comment for copy in copies[1:] for comment in copy.loose[0] if comment_key(comment) not in standing}
    return tuple(sorted(new - {_RECORD_COMMENT})), seen


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
    return sorted(
        (version for version in sides.values() if version.text),
        key=lambda version: (own.index(version.text) if version.text in own else len(own), version.key),
    )


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


def _stands(entry: Entry) -> bool:
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
    lines = [_RECORD_COMMENT, f"[{LAST}]"]
    lines += [f"{tomlkit.key(key).as_string()} = {tomlkit.item(text).as_string()}" for key, text in fields.items()]
    return blocks.insert(len(blocks.blocks), Block(LAST, False, "".join(line + end for line in lines))).text

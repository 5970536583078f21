"""One player's copy of the group's file, read with its past: what `gather` joins.

Every table and every value at the top is an entry with an id. One that never had an id gets it from what it says, so
that the same text typed in two copies is one entry; tables that there can be only one of for a player or an instrument
get it from that. An id that is recorded and not there any more was taken out by hand, unless the record does not stand
last in the file: then the file may have been cut, and nothing counts as taken out.
"""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from score.errors import GroupFileError
from score.group.checked_table import check_tables
from score.group.entry_blocks import Block, Blocks, comments_of, cut_blocks
from score.group.entry_keys import LAST, comment_key, ids_in, is_whole, music_key, values_in, words_key
from score.group.entry_text import values_of, with_fields
from score.group.group_tables import AGREED_KINDS, TABLES, VALUES
from score.group.version_chain import (
    GONE,
    WORDLESS,
    Chain,
    Record,
    Version,
    read_record,
    version_name,
)

SCORE, NOT_BOTH, COMMENTS, KEPT = "the score", "not both", "comments", "kept "
"""Keys of the last table that are no ids: the score it was gathered for, overlapping entries that are not settled, free
comments, and texts that cannot stand in the file twice (`KEPT` with an id and a version)."""

Pair = tuple[str, str]


class CopyEntry(NamedTuple):
    """One entry of a copy with its past.

    Attributes:
        record: its chains, with texts.
        comments: the comments that stand with it.
        name: of its table or value.
    """

    record: Record
    comments: frozenset[str]
    name: str


class GroupCopy(NamedTuple):
    """A copy that was read.

    Attributes:
        blocks: its letters.
        ids: the id of each block, "" for the record.
        entries: every entry it has or had, by id.
        apart: versions of two entries that overlap, as (id:version, id:version), not settled yet.
        score: what the record says of the score, or "".
        loose: comments on their own, and hashes of those that were ever seen.
    """

    blocks: Blocks
    ids: tuple[str, ...]
    entries: Mapping[str, CopyEntry]
    apart: frozenset[Pair] = frozenset()
    score: str = ""
    loose: tuple[frozenset[str], frozenset[str]] = (frozenset(), frozenset())


def read_copy(path: Path, text: str) -> GroupCopy:
    """Read a copy.

    Args:
        path: names it in errors.
        text: its letters.

    Raises:
        GroupFileError: it is not TOML, or says what no room reads.
    """
    try:
        check_tables(path, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise GroupFileError("Group's file is not TOML", f"{path.name}: {error}", "correct that line") from error
    return copy_of(cut_blocks(text))


def copy_of(blocks: Blocks) -> GroupCopy:
    """The copy that these blocks are."""
    notes = _notes(blocks)
    records = {key: read_record(text) for key, text in notes.items() if not _is_note(key)}
    ids = ids_in(blocks, records)
    if not is_whole(ids, records):
        records = {key: record for key, record in records.items() if key in ids or key in _top(blocks)}
    texts = _texts(blocks, ids)
    entries = {key: _entry(key, texts.get(key, []), records.get(key), notes) for key in (*texts, *records)}
    loose = frozenset(comment for gap in blocks.gaps for comment in comments_of(gap))
    apart = frozenset(_pairs(notes.get(NOT_BOTH, "")))
    return GroupCopy(
        blocks,
        ids,
        entries,
        apart=apart,
        score=notes.get(SCORE, ""),
        loose=(loose, frozenset(notes.get(COMMENTS, "").split())),
    )


def _is_note(key: str) -> bool:
    return key in (SCORE, NOT_BOTH, COMMENTS) or key.startswith(KEPT)


def _notes(blocks: Blocks) -> dict[str, str]:
    places = blocks.places(LAST)
    return {key: str(value) for key, value in values_of(blocks.blocks[places[0]]).items()} if places else {}


def _pairs(text: str) -> Iterator[Pair]:
    for words in text.split(";"):
        first, _, second = words.strip().partition(" ")
        if second:
            yield first, second


def _top(blocks: Blocks) -> dict[str, str]:
    """The values at the top of the file: name to line."""
    return {name: f"{name} = {_toml(value)}\n" for name, value in tomllib.loads(blocks.gaps[0]).items()}


def _toml(value: object) -> str:
    import tomlkit

    return tomlkit.item(value).as_string()


def _texts(blocks: Blocks, ids: tuple[str, ...]) -> dict[str, list[str]]:
    texts: dict[str, list[str]] = {name: [line] for name, line in _top(blocks).items()}
    for key, block in zip(ids, blocks.blocks, strict=True):
        if key:
            texts.setdefault(key, []).append(block.text)
    return texts


def _entry(key: str, texts: list[str], record: Record | None, notes: Mapping[str, str]) -> CopyEntry:
    """One entry from its letters and what is recorded of it."""
    name = _name_of(key, texts)
    comments = frozenset(comment for text in texts if name in TABLES for comment in comments_of(text))
    past = _with_kept(key, record or Record(), notes)
    words = _words(name, texts, past.words)
    music = _music(name, [_honest(name, text, past.music) for text in texts], past.music)
    if record is not None and texts and set(words.versions) != set(past.words.versions):
        music = _touched(music)
    return CopyEntry(Record(music, words, past.comments | set(map(comment_key, comments))), comments, name)


def _name_of(key: str, texts: list[str]) -> str:
    if key.startswith("["):
        return key.strip("[]")
    if key in VALUES:
        return key
    return cut_blocks(texts[0]).blocks[0].name if texts else ""


def _honest(name: str, text: str, past: Chain) -> str:
    """Letters whose music was changed by hand after it was agreed on: nobody has agreed to it yet."""
    if name not in AGREED_KINDS or not past.versions:
        return text
    key = music_key(name, values_in(name, text))
    recorded = {version.key for version in past.versions.values() if version.key != GONE}
    if (
        not key.endswith("a")
        or key[:-1] in {each[:-1] for each in recorded}
        or not all(each.endswith("a") for each in recorded)
    ):
        return text
    return with_fields(Block(name, True, text), {"state": "tried"}).text


def _music(name: str, texts: list[str], past: Chain) -> Chain:
    """The versions in force, seen from what stands in the file."""
    here = {music_key(name, values_in(name, text)): text for text in texts}
    whole = {n for n, v in past.versions.items() if v.key != GONE and not v.touched}
    loose = {n for n, v in past.versions.items() if v.touched}
    gone = {n: v for n, v in past.versions.items() if v.key == GONE}
    if not here:
        if not whole | loose:
            return Chain(gone, past.replaced)
        return Chain({version_name(GONE, past.versions): Version(GONE)}, past.replaced | set(past.versions))
    missing = {n for n in (whole or loose) if past.versions[n].key not in here and not past.versions[n].text}
    versions = {n: v._replace(text=here.get(v.key, v.text)) for n, v in past.versions.items() if n not in missing}
    for key, text in here.items():
        if key not in {v.key for v in versions.values()}:
            versions[version_name(key, missing)] = Version(key, text=text)
    return Chain(versions, (past.replaced | missing) - set(versions))


def _touched(music: Chain) -> Chain:
    """Other words were written: a version of the same music that stands against a deletion."""
    live = {n: v for n, v in music.versions.items() if v.key != GONE}
    if not live:
        return music
    latest = min(live.values(), key=lambda version: version.key)
    before = {n for n, v in live.items() if v.touched}
    again = version_name(latest.key, live, touched=True)
    kept = {n: v for n, v in music.versions.items() if n not in before}
    return Chain({**kept, again: latest._replace(touched=True)}, music.replaced | before)


def _words(name: str, texts: list[str], past: Chain) -> Chain:
    if not texts:
        return past
    here = {words_key(name, values_in(name, text)): text for text in texts}
    missing = {n for n, v in past.versions.items() if v.key not in here and not v.absent}
    versions = {n: v._replace(text=here.get(v.key, "")) for n, v in past.versions.items() if n not in missing}
    # Words that went with a deletion which did not last left no letters: that is no new version without words.
    lost = bool(versions) and all(version.absent for version in versions.values())
    for key, text in here.items():
        if key not in {v.key for v in versions.values()} and not (key == WORDLESS and lost):
            versions[version_name(key, missing)] = Version(key, text=text)
    return Chain(versions, (past.replaced | missing) - set(versions))


def _with_kept(key: str, record: Record, notes: Mapping[str, str]) -> Record:
    """The record with the texts of versions that could not stand in the file a second time."""
    versions = {n: v._replace(text=notes.get(f"{KEPT}{key} {n}", "")) for n, v in record.music.versions.items()}
    return record._replace(music=record.music._replace(versions=versions))

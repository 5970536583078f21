"""Joining copies of the group's file that the players have edited separately: in any order, at any time.

The result is the union of what every copy holds, less what some copy knows as replaced. So it does not matter which
copy is read first, whether some were joined before, or whether one is read twice (commutative, associative,
idempotent). What is left with two contents is a conflict: both stand in the file until one is chosen.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from score.group.entry_blocks import comments_of
from score.group.entry_keys import comment_key
from score.group.group_copy import CopyEntry, GroupCopy
from score.group.version_chain import Chain, Record, Version

RECORD_COMMENT = "# What inbreath gather knows of this file's past. Leave it where it is, at the end."


class Joined(NamedTuple):
    """Copies joined.

    Attributes:
        base: the copy whose letters and order are kept.
        entries: every entry of any copy, by id.
        order: ids in the order to write.
        loose: comments on their own that the base lacks, and hashes of all that were ever seen.
        score: what is recorded of the score.
        copies: all that were joined.
        both: overlapping entries (two ids) that are meant together.
    """

    base: GroupCopy
    entries: Mapping[str, CopyEntry]
    order: tuple[str, ...]
    loose: tuple[tuple[str, ...], frozenset[str]]
    score: str = ""
    copies: tuple[GroupCopy, ...] = ()
    both: frozenset[tuple[str, ...]] = frozenset()


def join(copies: Sequence[GroupCopy], score: str = "") -> Joined:
    """All copies as one; the first one's letters and order are kept."""
    entries: dict[str, CopyEntry] = {}
    for copy in copies:
        for key, entry in copy.entries.items():
            entries[key] = _both(entries[key], entry) if key in entries else entry
    entries = {key: _commented(key, entry, copies) for key, entry in entries.items()}
    recorded = next((copy.score for copy in copies if copy.score), "")
    return Joined(
        copies[0], entries, _order(copies), loose=_loose(copies), score=score or recorded, copies=tuple(copies)
    )


def sides_of(entry: CopyEntry) -> dict[str, Version]:
    """What stands against each other in an entry's music, by what it says; one where nothing does."""
    return entry.record.music.contents()


def _both(first: CopyEntry, second: CopyEntry) -> CopyEntry:
    own, other = first.record, second.record
    record = Record(_joined(own.music, other.music), _joined(own.words, other.words), own.comments | other.comments)
    return CopyEntry(record, first.comments | second.comments, first.name or second.name)


def _joined(first: Chain, second: Chain) -> Chain:
    """Two chains; every version with the text of whichever copy has it."""
    chain = first.joined(second)
    versions = {
        name: version if version.text or name not in second.versions else second.versions[name]
        for name, version in chain.versions.items()
    }
    return chain._replace(versions=versions)


def _commented(key: str, entry: CopyEntry, copies: Sequence[GroupCopy]) -> CopyEntry:
    """The entry with the comments that no copy has taken out."""
    removed: set[str] = set()
    for copy in copies:
        if key in copy.entries:
            here = copy.entries[key]
            removed |= here.record.comments - set(map(comment_key, here.comments))
    return entry._replace(comments=frozenset(c for c in entry.comments if comment_key(c) not in removed))


def _order(copies: Sequence[GroupCopy]) -> tuple[str, ...]:
    """The first copy's order; what is new stands behind what stood before it in its own copy, and behind one's own."""
    order = list(dict.fromkeys(filter(None, copies[0].ids)))
    for copy in copies[1:]:
        place, theirs = len(order), set(copy.ids)
        for key in dict.fromkeys(filter(None, copy.ids)):
            if key in order:
                place = order.index(key) + 1
                while place < len(order) and order[place] not in theirs:
                    place += 1
            else:
                order.insert(place, key)
                place += 1
    return tuple(order)


def _loose(copies: Sequence[GroupCopy]) -> tuple[tuple[str, ...], frozenset[str]]:
    seen = frozenset[str]().union(*(copy.loose[1] | set(map(comment_key, copy.loose[0])) for copy in copies))
    removed = {key for copy in copies for key in copy.loose[1] - set(map(comment_key, copy.loose[0]))}
    standing = {comment_key(comment) for comment in comments_of(copies[0].blocks.text)} | removed
    new = {comment for copy in copies[1:] for comment in copy.loose[0] if comment_key(comment) not in standing}
    return tuple(sorted(new - {RECORD_COMMENT})), seen

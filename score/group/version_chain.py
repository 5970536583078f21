"""What is written of one entry's past in the last table of the group's file, `[gathered]`.

Nobody's clock decides which of two copies is newer. Every state of an entry is a version: the hash of what it says and
of the versions it replaced. A copy that knows a version as replaced outranks one that still has it; two versions that
neither copy knows as replaced are a conflict. An entry has one chain for its music with its state (tried, agreed,
dropped) and one for its words, so that a new word never contradicts new music. Beside them stand the comments that were
ever seen, so that one taken out by hand does not come back from an older copy. In the file:

    s1a2b3c = "9f0c11d2 5e6f7a8b:c0ffee12a / 11aa22bb:- / 4d5e6f"

replaced versions, the version in force with the hash of its music and the letter of its state; words; comments.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

GONE = "gone"
"""What a version says that takes the entry out."""
WORDLESS = "-"
"""What the words of an entry say that has none."""
_TOUCH, _ABSENT = "~", "?"


class Version(NamedTuple):
    """One version in force.

    Attributes:
        key: what it says: a hash, `GONE` or `WORDLESS`.
        touched: it says what the one before said; somebody only wrote other words. It stands against a deletion, but
            never against other music.
        text: the letters that say it: a block, a value's line, or "" when it is gone.
        absent: words of an entry that was taken out: they are in force, but no letter of them stands in the file.
    """

    key: str
    touched: bool = False
    text: str = ""
    absent: bool = False


Versions = Mapping[str, Version]


class Chain(NamedTuple):
    """The versions in force by name, and the names of those they replaced."""

    versions: Versions = MappingProxyType({})
    replaced: frozenset[str] = frozenset()

    def joined(self, other: "Chain") -> "Chain":
        """Both chains: what neither knows as replaced."""
        replaced = self.replaced | other.replaced
        versions = {**other.versions, **self.versions}
        return Chain({name: each for name, each in versions.items() if name not in replaced}, replaced)

    def settled(self, key: str, text: str) -> "Chain":
        """One new version on top of all in force."""
        replaced = self.replaced | set(self.versions)
        return Chain({version_name(key, self.versions): Version(key, text=text)}, replaced)

    def contents(self) -> dict[str, Version]:
        """What stands against each other: by key, without what only touched while there is other music."""
        live = {version.key: version for version in self.versions.values() if version.key != GONE}
        whole = {
            version.key: version for version in self.versions.values() if version.key != GONE and not version.touched
        }
        gone = {GONE: Version(GONE)} if any(version.key == GONE for version in self.versions.values()) else {}
        return {**(whole or live), **gone}


class Record(NamedTuple):
    """What the file holds of one entry's past.

    Attributes:
        music: its music with its state.
        words: its words.
        comments: short hashes of the comments that were ever seen with it.
    """

    music: Chain = Chain()
    words: Chain = Chain()
    comments: frozenset[str] = frozenset()


def digest(value: object, length: int = 8) -> str:
    """A short hash of plain values, the same everywhere."""
    text = json.dumps(value, sort_keys=True, default=_plain, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:length]


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


def version_name(key: str, replaces: Iterable[str], touched: bool = False) -> str:
    """The name of a version that says `key` and replaces these."""
    return digest([key, sorted(replaces), touched])


FIRST_WORDLESS = version_name(WORDLESS, ())


def record_text(record: Record) -> str:
    """A record as it is written."""
    words = record.words
    plain = not words.replaced and set(words.versions) <= {FIRST_WORDLESS}
    parts = [_chain_text(record.music), "" if plain else _chain_text(words), " ".join(sorted(record.comments))]
    return " / ".join(parts).rstrip(" /")


def read_record(text: str) -> Record:
    """A record from what is written; what cannot be understood is left out."""
    music, words, comments = (*text.split("/"), "", "")[:3]
    chain = _read_chain(words) if words.strip() else Chain({FIRST_WORDLESS: Version(WORDLESS)})
    return Record(_read_chain(music), chain, frozenset(comments.split()))


def _chain_text(chain: Chain) -> str:
    return " ".join(
        [*sorted(chain.replaced), *(f"{name}:{_said(each)}" for name, each in sorted(chain.versions.items()))]
    )


def _said(version: Version) -> str:
    absent = not version.text and version.key not in (GONE, WORDLESS) and not version.touched
    return version.key + _TOUCH * version.touched + _ABSENT * absent


def _read_chain(text: str) -> Chain:
    words = text.split()
    versions = {}
    for word in words:
        name, colon, key = word.partition(":")
        if colon:
            plain = key.rstrip(_TOUCH + _ABSENT)
            versions[name] = Version(plain, touched=_TOUCH in key, absent=key.endswith(_ABSENT))
    return Chain(versions, frozenset(word for word in words if ":" not in word))

"""What the copies disagree about, in musicians' words, and settling it: one side, or both where both can hold."""

from collections.abc import Iterator
from enum import StrEnum
from typing import NamedTuple

from score.group.entry_blocks import Block
from score.group.entry_keys import music_key, values_in
from score.group.entry_text import with_fields
from score.group.entry_words import entry_place, entry_words
from score.group.gather import Joined, sides_of
from score.group.group_copy import CopyEntry, Pair
from score.group.group_tables import TABLES
from score.group.joined_text import joined_text
from score.group.overlaps import overlaps, pairs_text, token_id
from score.group.version_chain import GONE, WORDLESS, Version
from score.piece import Piece


class Matter(StrEnum):
    """What the conflict is about."""

    MUSIC = "music"
    """One entry was changed in two ways, or changed by one and taken out by another."""
    WORDS = "words"
    """One entry has two texts."""
    PLACE = "place"
    """Two entries are at one place."""


class Side(NamedTuple):
    """One side of a conflict.

    Attributes:
        words: what it says.
        mine: it stands in the file that was gathered into.
        key: what it says, as the record writes it; of two entries at one place the entry's id.
    """

    words: str
    mine: bool
    key: str


class Conflict(NamedTuple):
    """What has to be settled.

    Attributes:
        matter: what it is about.
        ids: of the entry, or of the two.
        where: its bars.
        sides: two or more.
    """

    matter: Matter
    ids: tuple[str, ...]
    where: str
    sides: tuple[Side, ...]

    @property
    def line(self) -> str:
        """The conflict on one line: "bars 57-64: 2 holds back 8 %, 3 leans forward 4 %"."""
        place = f"{self.where}: " if self.where else ""
        return place + ", ".join(side.words for side in self.sides)


def conflicts(joined: Joined, piece: Piece) -> tuple[Conflict, ...]:
    """Everything to settle, in the order of the file; places last."""
    entries = [(key, joined.entries[key]) for key in (*joined.order, *sorted(set(joined.entries) - set(joined.order)))]
    matters = [each for key, entry in entries for each in _of_entry(key, entry, joined, piece)]
    return (*matters, *(_of_place(pair, joined, piece) for pair in sorted(_unsettled(joined, piece))))


def settle(joined: Joined, conflict: Conflict, side: Side) -> Joined:
    """With one side chosen. The other entry at a place is kept as dropped; other music stays in nobody's file."""
    if conflict.matter is Matter.PLACE:
        for key in conflict.ids:
            if key != side.key:
                joined = _dropped(joined, key)
        return joined
    (key,) = conflict.ids
    entry = joined.entries[key]
    music, words = entry.record.music, entry.record.words
    if conflict.matter is Matter.MUSIC:
        music = music.settled(side.key, music.contents()[side.key].text)
    else:
        words = words.settled(side.key, words.contents()[side.key].text)
    return _with_entry(joined, key, entry._replace(record=entry.record._replace(music=music, words=words)))


def settle_both(joined: Joined, conflict: Conflict) -> Joined:
    """With both entries of one place kept: they are meant together."""
    return joined._replace(both=joined.both | {conflict.ids})


def settle_all(joined: Joined, piece: Piece, mine: bool) -> Joined:
    """With one's own side of every conflict, or the others' where they agree among themselves."""
    for conflict in conflicts(joined, piece):
        sides = [side for side in conflict.sides if side.mine == mine]
        if len(sides) == 1:
            joined = settle(joined, conflict, sides[0])
    return joined


def text_of(joined: Joined, piece: Piece) -> str:
    """The letters of the joined file, with what is still to be settled."""
    return joined_text(joined, pairs_text(_unsettled(joined, piece)))


def _unsettled(joined: Joined, piece: Piece) -> frozenset[Pair]:
    return frozenset(
        (first, second)
        for first, second in overlaps(joined, piece)
        if (token_id(first), token_id(second)) not in joined.both
    )


def _with_entry(joined: Joined, key: str, entry: CopyEntry) -> Joined:
    return joined._replace(entries={**joined.entries, key: entry})


def _dropped(joined: Joined, key: str) -> Joined:
    entry = joined.entries[key]
    (side,) = (side for side in sides_of(entry).values() if side.text)
    text = with_fields(Block(entry.name, True, side.text), {"state": "dropped"}).text
    music = entry.record.music.settled(music_key(entry.name, values_in(entry.name, text)), text)
    return _with_entry(joined, key, entry._replace(record=entry.record._replace(music=music)))


def _of_entry(key: str, entry: CopyEntry, joined: Joined, piece: Piece) -> Iterator[Conflict]:
    own, letters = _own(joined, key), joined.base.blocks.text

    def rank(side: Version) -> tuple[bool, bool, int, str]:
        return side.key not in own, not side.text or side.text not in letters, letters.find(side.text), side.key

    sides = sorted(sides_of(entry).values(), key=rank)
    text = next((side.text for side in sides if side.text), "")
    where = _where(piece, entry.name, text) if text else ""
    if len(sides) > 1:
        shown = [_music_side(entry.name, side, own, sides) for side in sides]
        yield Conflict(Matter.MUSIC, (key,), where, sides=_one_mine(shown))
    words = [side for side in entry.record.words.contents().values() if side.text or side.key == WORDLESS]
    if len(words) > 1 and text:
        said = [_words_side(entry.name, side, own) for side in sorted(words, key=rank)]
        yield Conflict(Matter.WORDS, (key,), where, sides=_one_mine(said))


def _one_mine(sides: list[Side]) -> tuple[Side, ...]:
    """Once both sides stand in the file, the first one is its own."""
    return (sides[0], *(side._replace(mine=False) for side in sides[1:])) if sides[0].mine else tuple(sides)


def _own(joined: Joined, key: str) -> set[str]:
    """What the file gathered into says of an entry, in music and words."""
    entry = joined.base.entries.get(key)
    if entry is None:
        return set()
    return {side.key for chain in (entry.record.music, entry.record.words) for side in chain.versions.values()}


def _where(piece: Piece, name: str, text: str) -> str:
    return entry_place(piece, values_in(name, text)) if name in TABLES else ""


def _music_side(name: str, side: Version, own: set[str], sides: list[Version]) -> Side:
    if side.key == GONE:
        return Side("removed", side.key in own, side.key)
    values = values_in(name, side.text)
    authors = {values_in(name, each.text).get("by") for each in sides if each.text}
    words = entry_words(name, values, subject=len(authors) > 1 or "player" in values)
    states = {str(values_in(name, each.text).get("state", "agreed")) for each in sides if each.text}
    state = f" ({values.get('state', 'agreed')})" if len(states) > 1 else ""
    return Side(words + state, side.key in own, side.key)


def _words_side(name: str, side: Version, own: set[str]) -> Side:
    values = values_in(name, side.text) if side.text else {}
    said = " ".join(str(values[field]) for field in ("name", "text") if field in values)
    return Side(f'"{said}"' if said else "no words", side.key in own, side.key)


def _of_place(pair: Pair, joined: Joined, piece: Piece) -> Conflict:
    ids = (token_id(pair[0]), token_id(pair[1]))
    sides = []
    where = ""
    for key in sorted(ids, key=lambda each: (each not in joined.base.entries, joined.order.index(each))):
        entry = joined.entries[key]
        text = next(side.text for side in sides_of(entry).values() if side.text)
        values = values_in(entry.name, text)
        where = where or entry_place(piece, values)
        sides.append(Side(entry_words(entry.name, values), key in joined.base.entries, key))
    return Conflict(Matter.PLACE, ids, where, sides=_one_mine(sides))

"""Changing the concert's file: entries added, changed or taken out, every other letter left alone.

An `Edit` works on blocks; several are done as one, and written, whole or not at all, when what comes out is a concert.
"""

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from score.concert.concert_file import concert_of, kind_named, piece_position, unreadable
from score.concert.concert_tables import LISTED, wrong_entry
from score.concert.concert_values import Concert
from score.errors import ConcertFileError
from score.group.entry_blocks import Block, Blocks, cut_blocks, line_end
from score.group.entry_text import entry_block, values_of, with_fields_at
from score.group.group_edit import with_value
from score.writing import write_atomically

Edit = Callable[[Path, Blocks], Blocks]
"""Takes the file's path, for what an error says, and its blocks."""
_MARK = "\ufeff"


def edit_concert(path: Path, edits: Sequence[Edit]) -> tuple[bytes, Concert]:
    """Do some edits as one; a file that is not there is begun.

    Returns:
        The file's bytes before, to undo it with, and the concert.

    Raises:
        ConcertFileError: the file cannot be used, or what comes out is no concert.
        WritingError: it cannot be written.
    """
    try:
        before = path.read_bytes()
        text = before.decode().removeprefix(_MARK)
    except FileNotFoundError:
        before, text = b"", ""
    except (OSError, UnicodeDecodeError) as error:
        raise unreadable(path, error) from error
    if text:
        # An edit reads entries: what is wrong already is said first.
        concert_of(path, text)
    blocks = cut_blocks(text)
    for edit in edits:
        blocks = cut_blocks(edit(path, blocks).text)
    concert = concert_of(path, blocks.text)
    mark = _MARK if before.startswith(_MARK.encode()) else ""
    try:
        content = (mark + blocks.text).encode()
    except UnicodeEncodeError as error:
        # Bytes of a file's name, or of what was typed, that the system could not read as letters.
        what = f"{path.name}: a name holds bytes that are not letters"
        raise ConcertFileError("Name not usable", what, "rename that file, or type it again") from error
    write_atomically(path, content)
    return before, concert


def with_top(name: str, value: Any) -> Edit:
    """Set a value at the top of the file; None takes it out."""
    return lambda _, blocks: with_value(blocks, name, value)


def with_hall(values: Mapping[str, Any]) -> Edit:
    """Set measures of the hall."""

    def edited(_: Path, blocks: Blocks) -> Blocks:
        places = blocks.places("hall")
        if places:
            return with_fields_at(blocks, places[0], values)
        # Above the lists, so that the file reads from the hall to the evening.
        first = next((index for index, block in enumerate(blocks.blocks) if block.listed), len(blocks.blocks))
        return blocks.insert(first, _block(blocks, "hall", values))

    return edited


def with_hands(names: Sequence[str]) -> Edit:
    """Add stagehands, who help carry."""
    return lambda path, blocks: with_hall({"hands": list(dict.fromkeys([*_hands(blocks), *names]))})(path, blocks)


def without_hand(name: str) -> Edit:
    """Take a stagehand out."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        names = _hands(blocks)
        if name not in names:
            raise wrong_entry(path, f"[hall] has no hand {name}", f"there are {', '.join(names) or 'none'}")
        return with_hall({"hands": [each for each in names if each != name] or None})(path, blocks)

    return edited


def with_piece(path: Path, score: Path, people: Sequence[str] = ()) -> Edit:
    """Add a piece at the end of the programme, its path as seen from the concert's file."""
    return with_entry("piece", {"score": score_text(path, score), "people": list(people) or None})


def score_text(path: Path, score: Path) -> str:
    """A score's path as seen from the concert's file."""
    try:
        return Path(os.path.relpath(score.resolve(), path.resolve().parent)).as_posix()
    except ValueError:
        # Another drive has no way from here.
        return score.resolve().as_posix()


def with_entry(name: str, values: Mapping[str, Any]) -> Edit:
    """Add an entry behind the others of its name."""

    def edited(_: Path, blocks: Blocks) -> Blocks:
        places = blocks.places(name)
        return blocks.insert(places[-1] + 1 if places else len(blocks.blocks), _block(blocks, name, values))

    return edited


def with_changed(name: str, key: str, value: str, values: Mapping[str, Any]) -> Edit:
    """Change the entry of a name whose key says this; it is added where there is none."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        places = _places(blocks, name, key, value)
        if not places:
            return with_entry(name, {key: value, **values})(path, blocks)
        return with_fields_at(blocks, places[0], values)

    return edited


def changed_piece(name: str, values: Mapping[str, Any]) -> Edit:
    """Change a piece by its name or number."""
    return lambda path, blocks: with_fields_at(blocks, _piece_place(path, blocks, name), values)


def placed(name: str, place: str | None) -> Edit:
    """Let a piece stay first or last, and no other with it; None lets it go anywhere."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        here = _piece_place(path, blocks, name)
        for index in blocks.places("piece"):
            now = values_of(blocks.blocks[index]).get("place")
            wanted = place if index == here else None if now == place else now
            if wanted != now:
                blocks = with_fields_at(blocks, index, {"place": wanted})
        return blocks

    return edited


def without_piece(name: str) -> Edit:
    """Take a piece out by its name or number; who then plays nothing but is named elsewhere stays a person."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        place = _piece_place(path, blocks, name)
        people = values_of(blocks.blocks[place]).get("people", [])
        rest = cut_blocks(blocks.remove(place).text)
        named = {text.rpartition(" ")[0] or text for text in _texts(rest, "rehearsal", ("late", "leaves"))}
        named |= {*_texts(rest, "rehearsal", ("missing",)), *_texts(rest, "instrument", ("person",))}
        others = {*_texts(rest, "piece", ("people",)), *_texts(rest, "person", ("name",))}
        for person in people:
            if person in named - others:
                rest = cut_blocks(with_entry("person", {"name": person})(path, rest).text)
        return rest

    return edited


def without_entry(name: str, key: str, value: str) -> Edit:
    """Take out the entry of a name whose key says this."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        places = _places(blocks, name, key, value)
        if not places:
            said = [str(values_of(blocks.blocks[place]).get(key, "")) for place in blocks.places(name)]
            there = f"there are {', '.join(said)}" if said else f"there is no [[{name}]]"
            raise wrong_entry(path, f'no [[{name}]] has {key} = "{value}"', there)
        return blocks.remove(places[0])

    return edited


def in_order(names: Sequence[str]) -> Edit:
    """Put the pieces into another order, each with its comments."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        places = blocks.places("piece")
        wanted = [_piece_place(path, blocks, name) for name in names]
        if sorted(wanted) != places:
            stems = ", ".join(_stem(blocks.blocks[place]) for place in places)
            raise wrong_entry(path, f"an order of {len(names)} is not each piece once", f"there are {stems}")
        moved = list(blocks.blocks)
        for place, source in zip(places, wanted, strict=True):
            moved[place] = blocks.blocks[source]
        return blocks._replace(blocks=tuple(moved))

    return edited


def _hands(blocks: Blocks) -> list[str]:
    return [name for place in blocks.places("hall") for name in values_of(blocks.blocks[place]).get("hands", [])]


def _block(blocks: Blocks, name: str, values: Mapping[str, Any]) -> Block:
    return entry_block(name, values, line_end(blocks.text), listed=name in LISTED)


def _places(blocks: Blocks, name: str, key: str, value: str) -> list[int]:
    """Where the entries of a name stand whose key says this; an instrument's kind by any of its names."""
    places = blocks.places(name)
    said = [str(values_of(blocks.blocks[place]).get(key, "")) for place in places]
    if key == "kind":
        said, value = list(map(kind_named, said)), kind_named(value)
    return [place for place, word in zip(places, said, strict=True) if word == value]


def _texts(blocks: Blocks, name: str, fields: Sequence[str]) -> set[str]:
    """Every text that some fields of the entries of a name hold."""
    values = [values_of(blocks.blocks[place]).get(field, []) for place in blocks.places(name) for field in fields]
    return {text for value in values for text in ([value] if isinstance(value, str) else value)}


def _piece_place(path: Path, blocks: Blocks, name: str) -> int:
    places = blocks.places("piece")
    return places[piece_position(path, [_stem(blocks.blocks[place]) for place in places], name)]


def _stem(block: Block) -> str:
    return Path(str(values_of(block).get("score", ""))).stem

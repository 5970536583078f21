"""Gathering copies of the group's file into the one beside the score: the file whole or not at all, no copy changed."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from score.errors import GroupFileError
from score.group.conflicts import Conflict, conflicts, settle_all, text_of
from score.group.entry_keys import values_in
from score.group.entry_words import entry_place, entry_words
from score.group.gather import Joined, join, sides_of
from score.group.group_copy import GroupCopy, read_copy
from score.group.group_file import group_path, unreadable
from score.group.group_tables import TABLES
from score.piece import Piece
from score.plain_text import several


class Gathered(NamedTuple):
    """What gathering brought.

    Attributes:
        path: the group's file.
        text: its new letters.
        joined: the copies joined, for settling one conflict after the other.
        news: what came in, in musicians' words.
        open: what has to be settled.
    """

    path: Path
    text: str
    joined: Joined
    news: tuple[str, ...]
    open: tuple[Conflict, ...]


def gather_files(
    score: Path, piece: Piece, copies: Sequence[Path], mine: bool = False, theirs: bool = False
) -> Gathered:
    """Join copies with the group's file of a score. Nothing is written.

    Args:
        score: the score's file; its group's file need not exist yet.
        piece: the piece that was read from it.
        copies: files of other players.
        mine: settle every conflict as the group's file beside the score has it.
        theirs: settle every conflict as the copies have it, where they agree.

    Raises:
        GroupFileError: a copy cannot be read, is not TOML, or was gathered for another score.
    """
    path = group_path(score)
    own = read_copy(path, _text(path)) if path.is_file() else None
    others = [_read_other(copy, piece) for copy in copies if not _same(copy, path)]
    if own is None and not others:
        raise GroupFileError("Nothing to gather", f"there is no {path.name} yet", "name a copy")
    joined = join([*filter(None, [own]), *others], score=score_words(piece))
    if mine or theirs:
        joined = settle_all(joined, piece, mine)
    return gathered_of(path, joined, piece, own)


def gathered_of(path: Path, joined: Joined, piece: Piece, own: GroupCopy | None) -> Gathered:
    """The state of gathering after some conflicts were settled."""
    news = tuple(_news(joined, piece, own)) if own is not None else ()
    return Gathered(path, text_of(joined, piece), joined, news=news, open=conflicts(joined, piece))


def score_words(piece: Piece) -> str:
    """What the record says of a score: enough to tell another one."""
    return f"{piece.title}; {several(len(piece.bars), 'bar')}; {several(len(piece.players), 'player')}"


def _read_other(path: Path, piece: Piece) -> GroupCopy:
    if not path.is_file():
        raise GroupFileError("No such copy", str(path), "name a copy of the group's file")
    copy = read_copy(path, _text(path))
    here = score_words(piece)
    if copy.score and len(set(copy.score.split("; ")) & set(here.split("; "))) < 2:
        what = f"{path.name} was gathered for another score ({copy.score})"
        raise GroupFileError("Copy of another score", what, f"this one is {here}")
    return copy


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise unreadable("Copy", path, error) from error


def _same(first: Path, second: Path) -> bool:
    return first.resolve() == second.resolve()


def _news(joined: Joined, piece: Piece, own: GroupCopy) -> list[str]:
    """What the file did not have before, one line each."""
    lines = []
    for key in (*joined.order, *sorted(set(joined.entries) - set(joined.order))):
        entry, before = joined.entries[key], own.entries.get(key)
        sides = [side for side in sides_of(entry).values() if side.text]
        earlier = {side.key: side.text for side in sides_of(before).values() if side.text} if before else {}
        if not sides and earlier:
            lines.append(f"removed: {_said(entry.name, next(iter(earlier.values())), piece)}")
        elif len(sides) == 1 and sides[0].key not in earlier:
            lines.append(f"{'changed' if earlier else 'new'}: {_said(entry.name, sides[0].text, piece)}")
    return lines


def _said(name: str, text: str, piece: Piece) -> str:
    values = values_in(name, text)
    place = entry_place(piece, values) if name in TABLES else ""
    state = f" ({values['state']})" if "state" in values else ""
    return f"{place}: {entry_words(name, values)}{state}" if place else f"{entry_words(name, values)}{state}"

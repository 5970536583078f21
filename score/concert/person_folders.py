"""Everybody's folder: names that differ on every system and lie in the order of the concert, now and after a new order.

Files are found again in the order in which file managers show them, so numbers have as many digits as the last one.
"""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from score.errors import WritingError
from score.plain_text import file_name_part

PIECES = "pieces"
"""The folder in which each piece has its own, with all its parts."""


def folders_of(people: Sequence[str], folder: Path) -> dict[str, Path]:
    """A folder for everybody, with names that differ on every system."""
    folders: dict[str, Path] = {}
    taken: set[str] = {PIECES}
    for person in people:
        name = file_name_part(person) or "person"
        number = 2
        while name.casefold() in taken:
            name, number = f"{file_name_part(person)}-{number}", number + 1
        taken.add(name.casefold())
        folders[person] = folder / name
    return folders


def in_order(position: int, count: int, name: str) -> str:
    """A piece's name with its place from 1 among so many, "03-study" of ten or more."""
    return f"{position:0{len(str(count))}}-{file_name_part(name)}"


def copies_before(folder: Path, people: Iterable[Path]) -> frozenset[Path]:
    """Parts that lie in people's folders from an earlier run: numbered copies of what is printed in the pieces' own.

    Args:
        folder: of the whole concert.
        people: everybody's folder.
    """
    printed = {path.read_bytes() for path in (folder / PIECES).glob("*/*.pdf")}
    files = (path for own in people for path in own.glob("*.pdf") if re.match(r"[1-9]\d*-|0\d+-", path.name))
    return frozenset(path for path in files if path.read_bytes() in printed)


def remove_copies(copies: Iterable[Path]) -> None:
    """Take away parts that an earlier order has numbered.

    Raises:
        WritingError: one of them cannot be removed.
    """
    for path in copies:
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            reason = error.strerror or str(error)
            remedy = "close it where it is open, or remove it"
            raise WritingError("Cannot remove", f"{path}: {reason}", remedy) from error


def numbered_anew(wanted: Path) -> Path:
    """A folder of a piece's tracks, moved here where an earlier order has given it another number.

    Raises:
        WritingError: it cannot be moved.
    """
    _, _, name = wanted.name.partition("-")
    if not wanted.exists() and wanted.parent.is_dir():
        for other in wanted.parent.iterdir():
            if re.fullmatch(rf"\d+-{re.escape(name)}", other.name):
                try:
                    return other.rename(wanted)
                except OSError as error:
                    reason = error.strerror or str(error)
                    raise WritingError("Cannot move", f"{other}: {reason}", "close what is open in it") from error
    return wanted

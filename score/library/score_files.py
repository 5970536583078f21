"""The scores below a folder: each file once, whatever links lead to it, and what else lies there passed over."""

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from stat import S_ISREG
from typing import NamedTuple

from score.errors import RequestError
from score.group.group_file import group_path

_MUSIC, _MAYBE = (".musicxml", ".mxl"), ".xml"
_OWN_FOLDER = "-inbreath"
"""What this program writes from a score stands in such a folder beside it."""
_OWN_PART = re.compile(r"(.+)-player-\d+\.musicxml")
_HEAD = 4096
_SCORE = ("score-partwise", "score-timewise")


class ShelvedFile(NamedTuple):
    """A file that may hold a score.

    Attributes:
        path: below the folder, with slashes: its name in the library.
        place: where it is.
        stamp: sizes and times of it and of the group's file beside it: while they stay, so does what was read.
    """

    path: str
    place: Path
    stamp: str


def score_files(folder: Path) -> list[ShelvedFile]:
    """Every score below a folder, in order of their paths.

    Hidden folders and this program's own output are passed over, and .xml files that are no scores.

    Raises:
        RequestError: there is no such folder.
    """
    if not folder.is_dir():
        what = f"{folder} is a file" if folder.exists() else f"there is no folder {folder}"
        raise RequestError("No such folder", what, "name the folder your scores are in")
    files: dict[tuple[int, int], ShelvedFile] = {}
    for place in sorted(_candidates(folder)):
        try:
            status = place.stat()
        except OSError:
            continue  # a link that leads nowhere
        if not S_ISREG(status.st_mode):
            continue  # a pipe would be waited for
        path = place.relative_to(folder).as_posix().encode("utf-8", "replace").decode()
        files.setdefault((status.st_dev, status.st_ino), ShelvedFile(path, place, stamp_of(place)))
    return list(files.values())


def stamp_of(place: Path) -> str:
    """Sizes and times of a score and of the group's file beside it."""
    return " ".join(_stamp(path) for path in (place, group_path(place)))


def _stamp(path: Path) -> str:
    try:
        status = path.stat()
    except OSError:
        return "-"
    return f"{status.st_size}:{status.st_mtime_ns}"


def _candidates(folder: Path) -> Iterator[Path]:
    for here, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".") and not name.endswith(_OWN_FOLDER)]
        for name in set(names) - _own_parts(names):
            place = Path(here, name)
            ending = place.suffix.lower()
            if not name.startswith(".") and (ending in _MUSIC or (ending == _MAYBE and _begins_a_score(place))):
                yield place


def _own_parts(names: Sequence[str]) -> set[str]:
    """Parts that this program wrote into a folder of another name: the record of their prints stands beside them."""
    matches = ((name, _OWN_PART.fullmatch(name)) for name in names)
    return {name for name, match in matches if match is not None and f"{match[1]}-prints.json" in names}


def _begins_a_score(place: Path) -> bool:
    try:
        with place.open("rb") as file:
            head = file.read(_HEAD)
    except OSError:
        return True  # it is named .xml and cannot be read: its line says so
    return any(word.encode(code) in head for word in _SCORE for code in ("utf-8", "utf-16-le", "utf-16-be"))

"""Paths of scores as they are typed: ``~``, completion, and the scores of a folder."""

import os
from pathlib import Path

ENDINGS = (".musicxml", ".mxl", ".xml")
CONCERT = ".concert.toml"
_MOST = 200


def typed_path(text: str) -> Path:
    """The path that was typed, without quotes, with ``~`` for the home folder."""
    return Path(text.strip().strip("\"'")).expanduser()


def completions(text: str) -> list[str]:
    """What a typed path can go on to: folders and scores, folders with a separator at their end.

    The beginning stays as it was typed, so that ``~`` stays ``~``.
    """
    head, typed = os.path.split(text)
    folder = typed_path(head or ".")
    try:
        entries = sorted(folder.iterdir(), key=lambda entry: (not _is_score(entry), entry.name.casefold()))[:_MOST]
        return [
            os.path.join(head, entry.name) + (os.sep if entry.is_dir() else "")  # noqa: PTH118
            for entry in entries
            if entry.name.casefold().startswith(typed.casefold())
            and (typed.startswith(".") or not entry.name.startswith("."))
            and (entry.is_dir() or _is_score(entry))
        ]
    except OSError:
        return []


def completed(text: str) -> str:
    """The typed path with what all completions have in common; the text itself where there is none."""
    ways = completions(text)
    # Letters in common are wanted, not folders.
    common = os.path.commonprefix(ways) if ways else text  # noqa: RUF071
    return common if len(common) > len(text) else ways[0] if len(ways) == 1 else text


def scores_here(folder: Path, most: int = 9) -> list[Path]:
    """The scores of a folder, by name; none where it cannot be read."""
    try:
        return sorted((path for path in folder.iterdir() if _is_score(path)), key=lambda path: path.name)[:most]
    except OSError:
        return []


def concerts_here(folder: Path, most: int = 9) -> list[Path]:
    """The concerts of a folder, by name; none where it cannot be read."""
    try:
        return sorted(path for path in folder.iterdir() if path.name.endswith(CONCERT) and path.is_file())[:most]
    except OSError:
        return []


def _is_score(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS and path.is_file()

"""From a MusicXML file to a `Piece`: safe opening, repair, reading, playing order, players."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from score.group.group_file import Group
    from score.progress import ReportProgress
    from score.reading.reading_result import Outline, Reading

__all__ = ["read_score"]


def read_score(
    path: "Path",
    group: "Group | None" = None,
    progress: "ReportProgress | None" = None,
    outlined: "Callable[[Outline], None] | None" = None,
) -> "Reading":
    """Read a MusicXML score; see `score.reading.read_file.read_score`.

    What reads is loaded at the first call: the command line must be able to name this package at once.
    """
    from score.reading.read_file import read_score as read

    return read(path, group, progress, outlined)

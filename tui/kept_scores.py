"""Scores opened from the store where they were read before, else read and kept: for commands and screens alike."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_cache_path

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.progress import ReportProgress
    from score.reading.reading_result import Outline, Reading
    from score.reading.reading_store import ReadingStore

PLACE = "INBREATH_READINGS"
"""An environment variable that names another folder for readings; the tests have one of their own."""


def reading_store() -> "ReadingStore":
    """Where readings are kept on this system."""
    from score.reading.reading_store import ReadingStore

    place = os.environ.get(PLACE)
    return ReadingStore(Path(place) if place else user_cache_path("inbreath", appauthor=False) / "readings")


class KeptScore:
    """A score with its group's file, and its reading where it was read before.

    Args:
        path: the score.

    Raises:
        GroupFileError: the group's file cannot be used.
    """

    def __init__(self, path: Path) -> None:
        from score.group.group_file import group_path, read_group

        self.path = path
        self.group: Group = read_group(group_path(path))
        self._store = reading_store()
        self.reading: Reading | None = self._store.find(path, self.group)
        self._raw = ""

    def read(
        self,
        progress: "ReportProgress | None" = None,
        outlined: "Callable[[Outline], None] | None" = None,
        *,
        keep_later: bool = False,
    ) -> "Reading":
        """The reading: the one that was kept, or a new one, which is kept.

        Args:
            progress: as for `read_score`.
            outlined: as for `read_score`.
            keep_later: `keep` is called when there is time for it.

        Raises:
            InbreathError: the score cannot be read.
        """
        if self.reading is None:
            from score.reading import read_score
            from score.reading.reading_store import raw_digest

            self._raw = raw_digest(self.path)
            self.reading = read_score(self.path, self.group, progress, outlined)
            if not keep_later:
                self.keep()
            return self.reading
        if progress is not None:
            progress("reading", 1.0)
        if outlined is not None:
            outlined(self.reading.outline)
        return self.reading

    def keep(self) -> None:
        """Keep what was read anew."""
        if self.reading is not None and self._raw:
            self._store.keep(self.reading, self._raw, self.group)
            self._raw = ""

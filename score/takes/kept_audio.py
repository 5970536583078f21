"""Sound of passes that a player wants to keep: FLAC files in a folder of the player's own, never more than a limit."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from score.errors import WritingError
from score.playback.sound_file import write_sound
from score.strokes.spectral_rise import RATE, Samples

_MEGABYTE = 1_000_000


class AudioKept(NamedTuple):
    """A pass whose sound was kept.

    Attributes:
        name: of its file in the folder.
        gone: names of files that had to go for it, the oldest first.
    """

    name: str
    gone: tuple[str, ...]


class KeptAudio:
    """A folder of sound files.

    Args:
        folder: where; made when something is kept.
        limit: megabytes that all of them together may take.
    """

    def __init__(self, folder: Path, limit: int) -> None:
        self.folder, self.limit = folder, limit

    def keep(self, samples: Samples, now: datetime) -> AudioKept:
        """Keep the sound of a pass; the oldest files go where the limit asks for it, this one stays.

        Args:
            samples: one channel at the rate of `score.strokes`.
            now: when it was played; gives the file its name.

        Raises:
            WritingError: it cannot be written; nothing is removed then.
        """
        path = self._free(now)
        write_sound(path, [samples], RATE, "flac")
        gone = []
        try:
            for old in self._oldest_first():
                if self.megabytes <= self.limit or old == path:
                    break
                old.unlink()
                gone.append(old.name)
        except OSError as error:
            raise WritingError(
                "Old recordings cannot be removed", str(error), f"remove some from {self.folder}"
            ) from error
        return AudioKept(path.name, tuple(gone))

    @property
    def megabytes(self) -> float:
        """What all files take."""
        return sum(path.stat().st_size for path in self._oldest_first()) / _MEGABYTE

    @property
    def words(self) -> str:
        """The size for the screen: "12 of 500 MB"."""
        return f"{self.megabytes:.0f} of {self.limit} MB"

    def _free(self, now: datetime) -> Path:
        stem = now.strftime("%Y-%m-%d-%H%M%S")
        names = (f"{stem}{'' if number == 1 else f'-{number}'}.flac" for number in range(1, 10_000))
        return next(self.folder / name for name in names if not (self.folder / name).exists())

    def _oldest_first(self) -> Sequence[Path]:
        return sorted(self.folder.glob("*.flac"), key=lambda path: (path.stat().st_mtime, path.name))

"""The sample scores that come with Inbreath: where they are, and a copy of one to work with."""

from importlib.metadata import PackageNotFoundError, files
from pathlib import Path
from typing import NamedTuple

from platformdirs import user_data_path

from score.writing import write_atomically

_CHECKOUT = Path(__file__).parents[1] / "samples"


class SampleScore(NamedTuple):
    """A sample.

    Attributes:
        name: of its file.
        title: of the piece.
        words: who plays, how long it is.
    """

    name: str
    title: str
    words: str


SAMPLES = (
    SampleScore("quartet.musicxml", "Low Water, Four Lanterns", "mallet quartet, 116 bars"),
    SampleScore("trio-plain.musicxml", "Kiln Yard", "trio for drums, 24 bars"),
    SampleScore("study.musicxml", "Sixteen Paces", "marimba alone, 16 bars"),
)


def sample_source(name: str) -> Path | None:
    """Where a sample was installed, or stands in a working copy; None where it is not there."""
    beside = _CHECKOUT / name
    if beside.is_file():
        return beside
    try:
        installed = files("inbreath") or ()
    except PackageNotFoundError:
        return None
    paths = [Path(str(entry.locate())) for entry in installed if entry.name == name and "samples" in entry.parts]
    return next((path for path in paths if path.is_file()), None)


def own_copy(name: str, folder: Path | None = None) -> Path | None:
    """A copy of a sample that may be worked with: what comes with the program is never changed.

    Args:
        name: of its file.
        folder: where copies stand; the player's own files where it is None.

    Returns:
        The copy, which is not renewed once it is there, or None where there is no such sample.

    Raises:
        WritingError: the copy cannot be written.
    """
    place = (folder or user_data_path("inbreath", appauthor=False) / "samples") / name
    source = sample_source(name)
    if place.is_file() or source is None:
        return place if place.is_file() else None
    for kind in (name, f"{Path(name).stem}.group.toml"):
        beside = source.with_name(kind)
        if beside.is_file():
            write_atomically(place.with_name(kind), beside.read_bytes())
    return place

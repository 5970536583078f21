"""Where files go that are written from a score."""

from pathlib import Path


def default_folder(score: Path) -> Path:
    """The folder for a score's files unless another is named: beside the score, named after it."""
    return score.with_name(f"{score.stem}-inbreath")

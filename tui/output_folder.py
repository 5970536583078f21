"""Where files go that are written from a score."""

from pathlib import Path

from score.plain_text import file_stem


def default_folder(score: Path) -> Path:
    """The folder for a score's files unless another is named: beside the score, named after it."""
    return score.with_name(f"{file_stem(score)}-inbreath")

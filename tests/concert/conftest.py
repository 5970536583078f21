"""A concert of the samples in a folder of its own."""

import shutil
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "samples"
TEXT = """# Our spring concert. Kim has the key.
title = "Spring"
date = 2037-03-14   # a Saturday

[hall]
width = 10.0
depth = 7.0      # to the curtain

[[piece]]
score = "quartet.musicxml"
people = ["Ann", "Ben", "Cleo", "Dan"]

# Short, and quiet.
[[piece]]
score = "study.musicxml"
people = ["Ann", "Dan"]

[[piece]]
score = "trio-plain.musicxml"
people = ["Ben", "Cleo", "Eve"]

[[rehearsal]]
at = 2037-02-01T19:00:00
minutes = 120

[[rehearsal]]
at = 2037-02-15T19:00:00
minutes = 120
missing = ["Dan"]     # on tour
late = ["Ann 19:30"]

[[rehearsal]]
at = 2037-03-13T15:00:00
minutes = 120
"""


@pytest.fixture
def concert(tmp_path: Path) -> Path:
    """The concert's file, its three scores beside it."""
    return spring_in(tmp_path)


def spring_in(folder: Path) -> Path:
    """The concert's file in a folder, its three scores beside it."""
    for name in ("quartet.musicxml", "study.musicxml", "trio-plain.musicxml", "quartet.group.toml"):
        shutil.copy(SAMPLES / name, folder / name)
    path = folder / "spring.concert.toml"
    path.write_text(TEXT)
    return path

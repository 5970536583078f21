"""Sound of passes: kept without loss, never more than asked for, the oldest go first."""

import os
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.errors import WritingError
from score.takes.kept_audio import KeptAudio

NOW = datetime(2026, 11, 20, 18, 0, 0)
NOISE = np.random.default_rng(1).uniform(-0.9, 0.9, 240_000).astype(np.float32)


def test_a_pass_is_kept_as_flac_and_sounds_the_same(tmp_path: Path) -> None:
    kept = KeptAudio(tmp_path / "takes", 100).keep(NOISE, NOW)
    assert (kept.name, kept.gone) == ("2026-11-20-180000.flac", ())
    heard, rate = soundfile.read(tmp_path / "takes" / kept.name, dtype="float32")
    assert rate == 48_000
    np.testing.assert_allclose(heard, NOISE, atol=2**-15)


def test_two_passes_of_one_second_are_two_files(tmp_path: Path) -> None:
    audio = KeptAudio(tmp_path, 100)
    assert audio.keep(NOISE[:100], NOW).name != audio.keep(NOISE[:100], NOW).name


def test_the_oldest_go_first_and_the_limit_holds(tmp_path: Path) -> None:
    audio = KeptAudio(tmp_path, 2)
    names = []
    for number in range(6):
        kept = audio.keep(NOISE, NOW)
        os.utime(tmp_path / kept.name, (1e9 + number, 1e9 + number))
        names.append(kept.name)
        assert audio.megabytes <= 2
    left = {path.name for path in tmp_path.iterdir()}
    assert left == set(names[-len(left) :])
    assert audio.words == f"{audio.megabytes:.0f} of 2 MB"


def test_one_that_is_larger_than_the_limit_stays_alone(tmp_path: Path) -> None:
    audio = KeptAudio(tmp_path, 0)
    audio.keep(NOISE, NOW)
    kept = audio.keep(NOISE, NOW)
    assert [path.name for path in tmp_path.iterdir()] == [kept.name]


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(WritingError):
        KeptAudio(tmp_path / "file" / "takes", 10).keep(NOISE, NOW)

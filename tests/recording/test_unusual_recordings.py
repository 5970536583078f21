"""Recordings that are not as they should be: each is said in a line, nothing is kept half."""

import errno
import json
import os
from pathlib import Path

import numpy as np
import pytest
import soundfile
from scipy.signal import resample_poly

from score.reading import read_score
from score.recording.sound_pieces import mono_blocks, sound_facts
from tests.recording.performances import Performance, perform
from tests.recording.random_pieces import random_piece
from tests.recording.synthesis import RATE, Sound, render
from tui.command import run

pytestmark = pytest.mark.campaign

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"


@pytest.fixture(scope="module")
def played() -> Performance:
    return perform(read_score(STUDY).piece, 120)


@pytest.fixture(scope="module")
def music(played: Performance) -> Sound:
    sound = render(played.sounds, played.seconds)
    return np.asarray(0.7 * sound / np.abs(sound).max(), np.float32)


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where what was heard would be kept."""
    monkeypatch.setenv("INBREATH_READINGS", str(tmp_path / "kept"))
    return tmp_path / "kept"


def _left(kept: Path) -> list[Path]:
    return [file for file in kept.rglob("*") if file.is_file() and file.suffix != ".reading"]


def test_another_piece_is_said_with_its_best_claim(
    tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = perform(random_piece(121), 121)
    path = tmp_path / "other.wav"
    soundfile.write(path, 0.1 * render(other.sounds, other.seconds)[: 30 * RATE], RATE)
    assert run(["recording", str(STUDY), str(path)]) == 2
    (said,) = [line for line in capsys.readouterr().err.splitlines() if not line.endswith("...")]
    assert "Piece not heard" in said
    assert "best claim" in said
    assert "contrast of" in said
    assert not _left(kept)


def test_telephone_sound_is_heard_and_said(
    played: Performance, music: Sound, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "phone.wav"
    soundfile.write(path, resample_poly(music, 80, 441), 8000)
    assert run(["recording", str(STUDY), str(path)]) == 0
    assert "8,000 frames a second" in capsys.readouterr().out
    assert run(["recording", str(STUDY), str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["order"] == [bar.bar for bar in played.bars]


def test_channels_that_are_each_others_opposite_are_heard_all_the_same(music: Sound, tmp_path: Path) -> None:
    path = tmp_path / "wired.flac"
    soundfile.write(path, np.stack([music, -music], axis=1)[: 20 * RATE], RATE)
    (heard,) = mono_blocks(sound_facts(path), RATE)
    assert np.allclose(heard, music[: 20 * RATE], atol=1e-3)


def test_what_is_left_of_a_cut_file_is_heard_and_said(
    music: Sound, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "cut.mp3"
    with soundfile.SoundFile(path, "w", RATE, 1, "MPEG_LAYER_III", format="MP3") as file:
        file.write(music)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) * 2 // 3])
    assert run(["recording", str(STUDY), str(path)]) == 0
    assert "The file breaks off at" in capsys.readouterr().out


def test_without_room_on_the_disk_it_is_heard_but_not_kept(
    music: Sound, tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = tmp_path / "take.wav"
    soundfile.write(path, music, RATE)
    monkeypatch.setattr("score.writing.os.fsync", full)
    assert run(["recording", str(STUDY), str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["bars"]
    assert not _left(kept)

"""Files that are no recording: one line of ours, and none of a decoder's."""

import os
import threading
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.errors import RequestError
from score.playback.recording_file import check_recording, read_recording
from tui.command import run

BROKEN_TAG = b"ID3\x04\x00\x00\x00\x00\x00\x00" + bytes(range(256)) * 12
"""Begins like an MP3 file with an empty tag (ID3v2.4): the decoder writes four lines of its own about it."""


@pytest.mark.parametrize("look", [check_recording, read_recording])
def test_a_decoder_writes_nothing_over_ours(tmp_path: Path, capfd: pytest.CaptureFixture[str], look) -> None:
    path = tmp_path / "pass.mp3"
    path.write_bytes(BROKEN_TAG)
    with pytest.raises(RequestError, match=r"pass\.mp3 cannot be read as sound"):
        look(path)
    assert "".join(capfd.readouterr()) == ""


def test_folders_and_what_is_not_there_are_told_apart(tmp_path: Path) -> None:
    for name, what in (("", "is a folder"), ("pass.wav", "is not there")):
        with pytest.raises(RequestError, match=what):
            check_recording(tmp_path / name)


def test_a_usable_recording_is_let_through(tmp_path: Path) -> None:
    path = tmp_path / "pass.wav"
    soundfile.write(path, np.zeros(4800), 48_000)
    check_recording(path)


def test_a_file_is_looked_at_before_anything_is_promised(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "notes.pdf"
    path.write_bytes(b"%PDF-1.4")
    assert run(["sound", "--hear", "--file", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    (line,) = said.err.splitlines()
    assert "notes.pdf cannot be read as sound; name a WAV" in line


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes are POSIX's")
def test_a_pipe_is_no_score_and_is_not_waited_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody ever writes into it."""
    pipe = tmp_path / "pipe.musicxml"
    os.mkfifo(pipe)
    codes: list[int] = []
    asking = threading.Thread(target=lambda: codes.append(run(["read", str(pipe)])), daemon=True)
    asking.start()
    asking.join(60)
    assert codes == [2]
    assert "not an ordinary file" in capsys.readouterr().err

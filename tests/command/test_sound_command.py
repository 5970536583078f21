"""`inbreath sound --hear` without a card: what it prints for a room made for it, and bad files in one line."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from score.errors import InbreathError
from score.takes.ear_check import CLICKS_SECONDS, QUIET_SECONDS, check_timeline
from score.takes.history import History
from score.takes.live_sound import CaughtSound
from score.takes.pad_delay_text import kept_pad_delay
from tests.takes.test_ear_check import room
from tui.commands import ear_checking
from tui.commands.sound_command import command
from tui.ear_choice import EarChoice, EarKind, delay_name


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sound process has heard a room."""

    def caught(file: Path | None, pad: str) -> ear_checking.HeardCheck:
        sound, block = CaughtSound(), room()
        sound.add(0, bytes(4 * 480), bytes(4 * 480))
        sound.add(480, block.heard.tobytes(), block.sent.tobytes())
        stamps = tuple(1000.0 + QUIET_SECONDS + CLICKS_SECONDS + 0.5 + 0.7 * number + 0.021 for number in range(5))
        return ear_checking.HeardCheck(sound, 480, 1000.0, stamps=stamps if pad else ())

    monkeypatch.setattr(ear_checking, "_heard", caught)


def test_the_check_says_levels_delay_and_whether_passes_can_be_judged(heard) -> None:
    said = CliRunner().invoke(command, ["--hear"], catch_exceptions=False).output
    for words in (
        "Care for your ears",
        "microphone is open",
        "room: -60 dB",
        "delay: 64.3 ms",
        "Passes can be judged.",
    ):
        assert words in said


def test_the_check_has_the_keys_that_its_help_names(heard) -> None:
    printed = json.loads(CliRunner().invoke(command, ["--hear", "--json"], catch_exceptions=False).output)
    help_text = " ".join(CliRunner().invoke(command, ["--help"]).output.split())
    assert all(key in help_text for key in printed)
    assert printed["delay_ms"] == pytest.approx(64.3, abs=1.0)
    assert printed["judging"] is True


def test_the_delay_of_a_pad_is_measured_by_its_thuds_and_kept(
    heard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thuds 21 ms before their stamps, the way out and in 64.3 ms: whoever strikes with the sound is 85.3 ms late."""
    monkeypatch.setattr("tui.settings.history_path", lambda: tmp_path / "history.sqlite")
    asked = ["--hear", "--pad", "Pad", "--json"]
    printed = json.loads(CliRunner().invoke(command, asked, catch_exceptions=False).output)
    help_text = " ".join(CliRunner().invoke(command, ["--help"]).output.split())
    assert all(key in help_text for key in printed)
    assert printed["pad_delay_ms"] == pytest.approx(85.3, abs=2.5)
    assert printed["pad_strokes"] == 5
    kept = kept_pad_delay(History(tmp_path / "history.sqlite").recall(delay_name(EarChoice(EarKind.MIDI, "Pad"))))
    assert kept is not None
    assert 1000 * kept.seconds == pytest.approx(printed["pad_delay_ms"], abs=0.01)
    said = CliRunner().invoke(command, ["--hear", "--pad", "Pad"], catch_exceptions=False).output
    assert "pad: 8" in said


def test_a_file_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    result = CliRunner().invoke(command, ["--hear", "--file", str(tmp_path / "none.wav")])
    assert isinstance(result.exception, InbreathError)
    assert "none.wav" in result.exception.line
    assert "\n" not in result.exception.line


def test_the_check_is_as_long_as_it_says() -> None:
    assert check_timeline().seconds == pytest.approx(12, abs=1)

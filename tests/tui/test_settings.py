"""Who hears the player in the settings file: read, written when it is chosen, the rest letter for letter."""

import tomllib
from pathlib import Path

import pytest

from tui.ear_choice import NOBODY, EarChoice, EarKind, recalled_ear
from tui.settings import EARS, read_settings

CHOICES = (
    NOBODY,
    EarChoice(EarKind.KEYS),
    EarChoice(EarKind.MIDI, 'Pad: 1 "left"'),
    EarChoice(EarKind.MICROPHONE),
    EarChoice(EarKind.HEADPHONES),
    EarChoice(EarKind.FILE, "C:\\takes\\päss.flac"),
)
BEFORE = """# mine
light = true  # by day
{ear}keep_audio = true

[keys]
play = "p"  # ear = "x"
"""


@pytest.mark.parametrize("choice", CHOICES)
@pytest.mark.parametrize("ear", ["", 'ear = "tapped keys"  # for now\n'])
def test_what_is_chosen_is_in_the_file_and_the_rest_as_it_was(tmp_path: Path, choice: EarChoice, ear: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(BEFORE.format(ear=ear), encoding="utf-8")
    settings = read_settings(path, {"play": ["p"]}).with_ear(choice.words())
    assert settings == read_settings(path, {"play": ["p"]})
    text = path.read_text(encoding="utf-8")
    assert tomllib.loads(text)["ear"] == choice.words()
    kept = [line for line in text.splitlines() if not line.startswith("ear")]
    assert kept == BEFORE.format(ear="").splitlines()
    assert recalled_ear(None, settings.ear) == choice  # type: ignore[arg-type]


def test_a_file_is_made_where_there_is_none(tmp_path: Path) -> None:
    settings = read_settings(tmp_path / "inbreath" / "settings.toml", {}).with_ear("microphone")
    assert settings.ear == "microphone"
    assert read_settings(tmp_path / "inbreath" / "settings.toml", {}).ear == "microphone"


def test_a_file_that_cannot_be_read_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("[keys")
    assert read_settings(path, {}).with_ear("microphone").ear == "microphone"
    assert path.read_text() == "[keys"


@pytest.mark.parametrize("text", ["ear = 3", 'ear = "dog"', 'ear = "dog: 1"'])
def test_an_ear_that_is_none_is_named_once(tmp_path: Path, text: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    settings = read_settings(path, {})
    assert settings.ear == ""
    assert "ear is none of" in settings.troubles[0]


def test_every_ear_has_its_word() -> None:
    assert tuple(kind.value for kind in EarKind) == EARS

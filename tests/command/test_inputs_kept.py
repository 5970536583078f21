"""What a command reads it never writes over, whatever names it is given for what it makes."""

import shutil
from pathlib import Path

import pytest

from tui.command import run

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(STUDY, tmp_path / "study.musicxml")
    for name in ("take.wav", "other.wav", "study.group.toml"):
        (tmp_path / name).write_bytes(name.encode())
    (tmp_path / "linked.pdf").symlink_to(tmp_path / "take.wav")
    return tmp_path


@pytest.mark.parametrize(
    ("command", "options", "said"),
    [
        ("recording", "{0}/take.wav --chart {0}/take.wav", "is read here and would be lost"),
        ("recording", "{0}/take.wav --chart {0}/linked.pdf", "is read here and would be lost"),
        ("recording", "{0}/take.wav --protocol {0}/../{1}/study.musicxml", "is read here and would be lost"),
        ("recording", "{0}/take.wav --protocol {0}/study.group.toml", "is read here and would be lost"),
        ("recording", "{0}/take.wav --beside {0}/other.wav --chart {0}/other.wav", "is read here and would be lost"),
        ("recording", "{0}/take.wav --chart {0}/new.pdf --protocol {0}/new.pdf", "name two files"),
        ("takes", "--player 1 --hear {0}/take.wav --mixed {0}/take.wav", "is read here and would be lost"),
        ("takes", "--player 1 --chart {0}/study.musicxml", "is read here and would be lost"),
    ],
)
def test_a_name_that_is_read_is_refused(
    command: str, options: str, said: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    asked = [command, str(folder / "study.musicxml"), *options.format(folder, folder.name).split()]
    assert run(asked) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert len((printed.out + printed.err).splitlines()) == 1
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before

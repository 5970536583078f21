"""The first screen: what it is in two lines, samples by Enter, paths that complete, our keys under F1."""

import tomllib
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.sample_scores import SAMPLES, own_copy, sample_source
from tui.score_paths import completed, completions, scores_here, typed_path

ROOT = Path(__file__).parents[2]


@pytest.fixture
def empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "empty"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr("tui.sample_scores.user_data_path", lambda *_, **__: tmp_path / "data")
    return folder


def test_a_first_start_says_what_it_is_and_opens_a_sample_by_enter(stand, tmp_path: Path, empty_folder: Path) -> None:
    app = stand(None)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "PiecesScreen")
        await holds(pilot, lambda: "Low Water, Four Lanterns" in text_of(app))
        lines = text_of(app).splitlines()
        assert "MusicXML" in lines[1]
        assert "practise" in lines[2]
        await pilot.press("down", "down", "enter")
        await until(pilot, "AskOne")
        await pilot.press("1")
        await until(pilot, "StandScreen")
        assert "Sixteen Paces" in text_of(app)
        assert app.session.path == tmp_path / "data" / "samples" / "study.musicxml"
        await pilot.press("o")
        await until(pilot, "PiecesScreen")
        await holds(pilot, lambda: "opened before" in text_of(app))
        await pilot.press("delete")
        await holds(pilot, lambda: "opened before" not in text_of(app))
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "opened before" in text_of(app))

    use(app, steps)


def test_a_typed_path_completes_and_help_lists_our_keys(stand, score: Path, empty_folder: Path) -> None:
    app = stand(None)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "PiecesScreen")
        await pilot.press("o")
        line = app.screen.query_one(Input)
        line.value = str(score)[:-12]
        await pilot.press("tab")
        assert line.value == str(score)
        await pilot.press("f1")
        await until(pilot, "HelpScreen")
        assert "Delete word" not in text_of(app)
        assert "complete the path" in text_of(app)
        await pilot.press("escape")
        await until(pilot, "PiecesScreen")
        await pilot.press("enter")
        await open_as(pilot, 1)

    use(app, steps)


def test_paths_complete_as_far_as_there_is_one_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("one.musicxml", "once.mxl", "other.pdf", ".hidden.xml"):
        (tmp_path / name).write_text("")
    (tmp_path / "onward").mkdir()
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    assert typed_path("~/one.musicxml") == tmp_path / "one.musicxml"
    assert typed_path(f"'{tmp_path}'") == tmp_path
    base = f"{tmp_path}/"
    assert completions(base + "on") == [base + "once.mxl", base + "one.musicxml", base + "onward/"]
    assert completed(base + "o") == base + "on"
    assert completed(base + "one") == base + "one.musicxml"
    assert completed(base + "zzz") == base + "zzz"
    assert completed("~/onw") == "~/onward/"
    assert completions(f"{tmp_path}/none/x") == []
    assert scores_here(tmp_path / "none") == []
    assert [path.name for path in scores_here(tmp_path)] == [".hidden.xml", "once.mxl", "one.musicxml"]


def test_samples_come_along_and_a_copy_is_what_changes(tmp_path: Path) -> None:
    brought = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["data-files"]
    for sample in SAMPLES:
        assert f"samples/{sample.name}" in brought["share/inbreath/samples"]
        source = sample_source(sample.name)
        assert source is not None
        copy = own_copy(sample.name, tmp_path)
        assert copy is not None
        assert copy.read_bytes() == source.read_bytes()
        copy.write_text("changed")
        assert own_copy(sample.name, tmp_path) == copy
        assert copy.read_text() == "changed"
    assert (tmp_path / "quartet.group.toml").exists()
    assert own_copy("none.musicxml", tmp_path) is None

"""`inbreath library` from outside: its keys, its words, its mistakes, Ctrl-C."""

import json
import os
import signal
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from tui.library_opening import PLACE, engine_starter, library_path
from tui.progress_line import CountedProgress, counted_line

SAMPLES = Path(__file__).parents[2] / "samples"
KEYS = {
    "path", "also", "title", "players", "seconds", "bars", "instruments", "needs", "marimba", "strikers", "own",
    "together", "parts", "warnings", "refused",
}  # fmt: skip
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    folder = tmp_path / "shelf"
    folder.mkdir()
    for name in ("study.musicxml", "trio-plain.musicxml"):
        (folder / name).write_bytes((SAMPLES / name).read_bytes())
    (folder / "broken.musicxml").write_text("hello")

    def run(*arguments: str, where: str = "shelf") -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "tui", "library", str(tmp_path / where), *arguments]
        environment = {**os.environ, PLACE: str(tmp_path / "library.sqlite"), "PYTHONIOENCODING": "utf-8"}
        return subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120, encoding="utf-8")

    return run


def test_a_folder_is_read_searched_and_a_programme_chosen(run: Run, tmp_path: Path) -> None:
    first = run("--json")
    assert first.returncode == 0, first.stderr
    assert "0 of 3 scores" in first.stderr
    scores = {score["path"]: score for score in json.loads(first.stdout)["scores"]}
    assert list(scores) == ["broken.musicxml", "study.musicxml", "trio-plain.musicxml"]
    assert all(set(score) == KEYS for score in scores.values())
    study, broken = scores["study.musicxml"], scores["broken.musicxml"]
    assert (study["title"], study["players"], study["bars"], study["refused"]) == ("Sixteen Paces", 2, 16, None)
    assert (broken["title"], broken["players"], broken["instruments"]) == ("", 0, [])
    assert "broken.musicxml" in broken["refused"]

    words = run("--only", "duo, marimba, under 2 minutes")
    assert words.stderr == ""  # nothing was left to read
    assert "Sixteen Paces" in words.stdout
    assert "Kiln Yard" not in words.stdout

    concert = tmp_path / "spring.concert.toml"
    into = run("--programme", "3", "--people", "3", "--into", str(concert), "--json")
    chosen = json.loads(into.stdout)["programme"]
    pieces = tomllib.loads(concert.read_text(encoding="utf-8"))["piece"]
    assert [Path(piece["score"]).name for piece in pieces] == ["study.musicxml", "trio-plain.musicxml"]
    assert [len(piece["people"]) for piece in pieces] == [2, 3]
    assert [piece["path"] for piece in chosen["pieces"]] == ["study.musicxml", "trio-plain.musicxml"]
    assert chosen["best"]
    few = run("--programme", "0.8", "--people", "3", "--fewest", "--share", "40")
    assert "No programme of this length needs fewer than" in few.stdout, few.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--only", "wobble"), "Not understood"),
        (("--people", "4"), "add --programme"),
        (("--programme", "20"), "Nobody plays"),
        (("--programme", "20", "--person", "Kim: wobble"), "Instrument not known"),
        (("--address", "127.0.0.1:8786"), "add --backend dask"),
        (("--backend", "dask", "--address", "10.0.0.5:8786"), "without TLS"),
        (("--programme", "0"), "0"),
    ],
)
def test_a_mistake_is_one_line(run: Run, arguments: tuple[str, ...], said: str) -> None:
    answer = run(*arguments)
    assert answer.returncode == 2
    assert said in answer.stderr
    assert answer.stderr.count("\n") == 1


def test_a_folder_that_is_not_there_is_one_line(run: Run) -> None:
    answer = run(where="nowhere")
    assert (answer.returncode, answer.stderr.count("\n")) == (2, 1)


@pytest.mark.campaign
def test_ctrl_c_keeps_what_was_read(tmp_path: Path) -> None:
    folder = tmp_path / "shelf"
    folder.mkdir()
    source = (SAMPLES / "trio-plain.musicxml").read_text(encoding="utf-8")
    for number in range(40):
        (folder / f"{number:02}.musicxml").write_text(source.replace("Kiln Yard", f"Yard {number}"), encoding="utf-8")
    environment = {**os.environ, PLACE: str(tmp_path / "library.sqlite")}
    command = [sys.executable, "-m", "tui", "library", str(folder)]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, start_new_session=True
    )
    assert process.stderr is not None
    # Under load lines are left out: the first of four or more.
    while int(process.stderr.readline().partition(" ")[0]) < 4:
        assert process.poll() is None
    # As a terminal does it: everybody in the group hears it.
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "the next run goes on there" in said
    assert "Traceback" not in said
    known = subprocess.run(
        [*command, "--indexed", "--json"], capture_output=True, text=True, env=environment, timeout=60, check=True
    )
    kept = len(json.loads(known.stdout)["scores"])
    assert 4 <= kept < 40
    again = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120, check=True)
    assert f"0 of {40 - kept} scores" in again.stderr
    assert "40 scores" in again.stdout


def test_the_index_stands_beside_the_player_s_own_files(monkeypatch: pytest.MonkeyPatch) -> None:
    from tui.settings import history_path

    monkeypatch.delenv(PLACE, raising=False)
    assert library_path().parent == history_path().parent


def test_what_reads_is_begun_only_when_it_is_wanted() -> None:
    for backend in ("joblib", "dask"):
        assert callable(engine_starter(backend, "", None, 1))


def test_progress_says_how_many_how_fast_and_how_long(capsys: pytest.CaptureFixture[str]) -> None:
    assert counted_line("scores", 0, 120, 0.0) == "0 of 120 scores"
    assert counted_line("scores", 40, 120, 20.0) == "40 of 120 scores, 2.0 a second, 40 s left"
    assert counted_line("scores", 20, 120, 60.0) == "20 of 120 scores, 20 a minute, 5 min left"
    moments = iter(range(1000))
    with CountedProgress("scores", lambda: float(next(moments))) as progress:
        for done in range(101):
            progress(done, 100)
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 11
    assert lines[0] == "0 of 100 scores"
    assert lines[-1] == "100 of 100 scores"

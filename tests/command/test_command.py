"""The command line as a user meets it: outputs, one-line errors, exit codes, what is left alone."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import music21
import pypdfium2
import pytest

from tui.command import COMMANDS, run

QUARTET = Path(music21.__file__).parent / "corpus" / "mozart" / "k155" / "movement2.mxl"


@pytest.fixture
def score(tmp_path: Path) -> Path:
    return Path(shutil.copy(QUARTET, tmp_path / "quartet.mxl"))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_prepare_writes_the_main_job_into_one_folder(
    score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = score.read_bytes()
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    assert run(["prepare", str(score), "--out", str(tmp_path / "out")]) == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {f"quartet-player-{n}.{end}" for n in (1, 2, 3, 4) for end in ("musicxml", "pdf")} <= names
    assert not [name for name in names if name.endswith(".part")]
    assert (tmp_path / "out" / "mine.txt").read_text() == "mine"
    assert score.read_bytes() == before
    out = capsys.readouterr().out
    for number in (1, 2, 3, 4):
        pdf = pypdfium2.PdfDocument(tmp_path / "out" / f"quartet-player-{number}.pdf")
        assert f"{len(pdf)} page" in out
    everybody = pypdfium2.PdfDocument(tmp_path / "out" / "quartet-score.pdf")
    assert f"Score for all: {len(everybody)} page" in out


def test_the_score_for_all_is_printed_as_asked(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    asked = ["--paper", "a3", "--landscape", "--staff-height", "6", "--json", "--out", str(out)]
    assert run(["score", str(score), *asked]) == 0
    (printed,) = out.iterdir()
    said = json.loads(capsys.readouterr().out)
    pdf = pypdfium2.PdfDocument(printed)
    assert said == {"pdf": str(printed), "pages": len(pdf), "warnings": []}
    # ISO 216: A3 is 420 by 297 mm.
    assert pdf[0].get_size() == pytest.approx((1190.55, 841.89), abs=0.5)
    assert run(["score", str(score), "--staff-height", "40", "--out", str(out)]) == 2


def test_only_the_players_asked_for_are_written(score: Path, tmp_path: Path) -> None:
    assert run(["parts", str(score), "--player", "2", "--out", str(tmp_path / "out")]) == 0
    assert {path.stem for path in (tmp_path / "out").iterdir()} == {"quartet-player-2", "quartet-prints"}


def test_only_what_changed_is_printed_and_why_is_said(
    score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert run(["parts", str(score), "--out", str(out)]) == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    group = tmp_path / "quartet.group.toml"
    group.write_text('[[note]]\nbar = "5"\nplayer = 2\ntext = "softer"\n')
    capsys.readouterr()
    assert run(["prepare", str(score), "--changed", "--both-sides", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "page 1: words in bar 5" in said
    assert said.count("nothing to print") == 3
    now = {path.name: path.read_bytes() for path in out.iterdir()}
    new = {name for name, data in now.items() if before.get(name) != data}
    files = {"quartet-player-2.pdf", "quartet-player-2.musicxml", "quartet-player-2-changed.pdf"}
    assert new == {*files, "quartet-prints.json"}
    assert run(["prepare", str(score), "--changed", "--json", "--out", str(out)]) == 0
    assert all(made["changes"] == [] for made in json.loads(capsys.readouterr().out))
    assert run(["parts", str(score), "--both-sides", "--out", str(out)]) == 2


def test_json_of_parts_has_the_documented_keys(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["parts", str(score), "--player", "1", "--json", "--out", str(tmp_path / "out")]) == 0
    (made,) = json.loads(capsys.readouterr().out)
    keys = {"player", "musicxml", "pdf", "cues", "pages", "warnings", "signs", "unprinted", "changes", "changed"}
    assert set(made) == keys
    assert Path(made["pdf"]).is_file()


def test_explain_lists_every_cue_with_a_reason_and_writes_nothing(
    score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["parts", str(score), "--explain", "--player", "2"]) == 0
    text = capsys.readouterr().out
    assert run(["parts", str(score), "--explain", "--player", "2", "--json"]) == 0
    (sheet,) = json.loads(capsys.readouterr().out)
    assert sheet["cues"]
    assert all(cue["reasons"] for cue in sheet["cues"])
    assert all(reason["text"] in text for cue in sheet["cues"] for reason in cue["reasons"][:1])
    assert {path.name for path in tmp_path.iterdir()} == {"quartet.mxl"}


def test_read_json_has_the_documented_keys(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["read", str(score), "--json"]) == 0
    piece = json.loads(capsys.readouterr().out)
    assert {"title", "players", "bars", "playing_order", "tempi", "warnings"} <= set(piece)
    assert {"bar", "at", "length", "pitches", "kind", "instrument"} <= set(piece["players"][0]["strokes"][0])
    assert {"index", "label", "start", "length", "meter", "rehearsal_mark"} <= set(piece["bars"][0])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["parts", "missing.musicxml"], "missing.musicxml"),
        (["parts", "empty.musicxml"], "empty"),
        (["prepare", "page.html"], "page.html"),
        (["parts", "quartet.mxl", "--player", "9"], "no player 9"),
        (["parts", "quartet.mxl", "--cues", "loud"], "loud"),
        (["parts", "quartet.mxl", "--staff-height", "99"], "99"),
        (["parts", "quartet.mxl", "--out", "quartet.mxl"], "quartet.mxl"),
        (["plan", "quartet.mxl"], "concert"),
        (["plan", "quartet.mxl", "--concert", "soon"], "soon"),
        (["plan", "quartet.mxl", "--concert", "2099-03-14"], "No rehearsals"),
        (["plan", "quartet.mxl", "--concert", "2099-03-14", "--rehearsal", "tomorrow"], "tomorrow"),
        (["plan", "quartet.mxl", "--concert", "2099-03-14", "--rehearsal", "2099-03-02T19:00/0"], "0 minutes"),
        (["plan", "quartet.mxl", "--concert", "2099-03-01", "--rehearsal", "2099-03-02T19:00/90"], "Concert before"),
        (["plan", "quartet.mxl", "--concert", "2099-03-14", "--rehearsal", "2001-03-02T19:00/90"], "is before"),
        (["chunks", "quartet.mxl", "--shortest", "50", "--longest", "20"], "50 to 20"),
        (["tracks", "quartet.mxl", "--player", "2", "--tempo", "fast"], "fast"),
        (["tracks", "quartet.mxl", "--player", "7"], "no player 7"),
        (["tracks", "quartet.mxl", "--player", "2", "--chunk", "Z"], "'Z'"),
        (["tracks", "quartet.mxl", "--player", "2", "--bars", "900"], "900"),
        (["play", "quartet.mxl", "--chunk", "A", "--bars", "1", "--silent"], "one of them"),
        (["parts"], "SCORE"),
        (["nonsense"], "nonsense"),
    ],
)
def test_a_users_mistake_is_one_line_and_exit_code_2(
    score: Path, here: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    (here / "empty.musicxml").write_bytes(b"")
    (here / "page.html").write_text("<html><body>not music</body></html>")
    before = sorted(here.iterdir())
    assert run(arguments) == 2
    lines = [line for line in capsys.readouterr().err.strip().splitlines() if not line.endswith("...")]
    lines = [line for line in lines if "free hands" not in line and "turns back" not in line]
    assert said in lines[-1]
    assert "Traceback" not in "".join(lines)
    assert sorted(here.iterdir()) == before


def test_chunks_and_plan_print_and_write(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chunks", str(score), "--json"]) == 0
    chunks = json.loads(capsys.readouterr().out)
    assert chunks[0]["first"] == 0
    dates = ["--rehearsal", "2099-03-02T19:00/90", "--rehearsal", "2099-03-05T19:00/60", "--concert", "2099-03-14"]
    assert run(["plan", str(score), *dates, "--json", "--out", str(tmp_path / "out")]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert [rehearsal["minutes"] for rehearsal in plan["rehearsals"]] == [90, 60]
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".md", ".csv", ".ics", ".pdf"}


def test_prepare_adds_chunks_and_the_plan_of_the_groups_file(score: Path, tmp_path: Path) -> None:
    (tmp_path / "quartet.group.toml").write_text(
        "concert = 2099-03-14\n[[rehearsal]]\nat = 2099-03-02T19:00:00\nminutes = 90\n"
    )
    assert run(["prepare", str(score), "--out", str(tmp_path / "out"), "--player", "1"]) == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"quartet-chunks.txt", "quartet-plan.pdf", "quartet-plan.ics"} <= names


def test_setup_lists_findings_gear_and_stickings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("quartet.musicxml", "quartet.group.toml"):
        shutil.copy(Path(__file__).parents[2] / "samples" / name, tmp_path)
    score = str(tmp_path / "quartet.musicxml")
    assert run(["setup", score, "--json", "--out", str(tmp_path / "out")]) == 0
    made = json.loads(capsys.readouterr().out)
    assert {"findings", "hands", "gear", "strike", "stations", "floor", "cautions", "unchecked"} == set(made)
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".txt", ".md", ".csv", ".pdf"}
    assert run(["setup", score, "--stickings", "1"]) == 0
    assert "bar 20:" in capsys.readouterr().out
    assert run(["setup", score, "--stickings", "1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["stickings"][0]["mallets"]
    assert run(["setup", score, "--stickings", "9"]) == 2
    assert capsys.readouterr().err.strip().count("\n") <= 1
    assert run(["setup", score, "--instruments"]) == 0
    assert "held or mounted: hung" in capsys.readouterr().out
    assert run(["setup", score, "--limits"]) == 0
    assert "common practice" in capsys.readouterr().out


def test_a_tight_change_is_a_small_word_in_the_part(tmp_path: Path) -> None:
    shutil.copy(Path(__file__).parents[2] / "samples" / "quartet.musicxml", tmp_path)
    score = tmp_path / "quartet.musicxml"
    assert run(["parts", str(score), "--player", "2", "--out", str(tmp_path / "out")]) == 0
    pdf = pypdfium2.PdfDocument(tmp_path / "out" / "quartet-player-2.pdf")
    assert "quick: 0.8 s" in " ".join(page.get_textpage().get_text_bounded() for page in pdf)


def test_prepare_adds_tracks_when_asked(tmp_path: Path) -> None:
    study = Path(shutil.copy(Path(__file__).parents[2] / "samples" / "study.musicxml", tmp_path))
    assert run(["prepare", str(study), "--player", "1", "--tracks", "--out", str(tmp_path / "out")]) == 0
    assert list((tmp_path / "out").glob("study-player-1-*.mp3"))


def test_tracks_are_written_without_ones_own_part(score: Path, tmp_path: Path) -> None:
    import mido
    import soundfile

    out = tmp_path / "out"
    asked = ["--player", "2", "--bars", "1-4", "--tempo", "90", "--as", "mid", "--as", "ogg", "--out", str(out)]
    assert run(["tracks", str(score), *asked]) == 0
    names = [track.name for track in mido.MidiFile(out / "quartet-player-2-1-4.mid").tracks]
    assert "Click" in names
    assert len(names) == 5  # tempi, three other players, the click
    assert soundfile.info(out / "quartet-player-2-1-4.ogg").duration > 5


def test_play_runs_without_sound_card_and_terminal(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["play", str(score), "--bars", "1-2", "--tempo", "400", "--count-in", "0", "--silent", "--json"]) == 0
    lines = capsys.readouterr().out
    assert "bar 1  beat 1" in lines
    assert json.loads(lines[lines.index("{") :])["passes"] == 1


def test_sound_lists_and_never_fails(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["sound", "--json"]) == 0
    assert set(json.loads(capsys.readouterr().out)) == {"ports", "cards", "notes"}


def test_a_wrong_group_file_names_file_and_field(score: Path, here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "quartet.group.toml").write_text('[[cue]]\nplayer = 2\nbars = "999"\nshow = 1\n')
    assert run(["parts", str(score), "--explain"]) == 2
    line = capsys.readouterr().err.strip().splitlines()[-1]
    assert "999" in line


def test_every_command_has_help(capsys: pytest.CaptureFixture[str]) -> None:
    for name in COMMANDS:
        assert run([name, "--help"]) == 0
        assert "Usage: inbreath" in capsys.readouterr().out
    assert run(["--help"]) == 0
    overview = capsys.readouterr().out
    assert all(name in overview for name in COMMANDS)


@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX here")
@pytest.mark.parametrize("step", ["reading", "engraving"])
def test_ctrl_c_ends_with_one_line_and_130(score: Path, tmp_path: Path, step: str) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", "prepare", str(score), "--out", str(tmp_path / "out")],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stderr is not None
    said = [process.stderr.readline()]
    while step not in said[-1]:
        said.append(process.stderr.readline())
    os.killpg(process.pid, signal.SIGINT)
    _, err = process.communicate(timeout=20)
    assert process.returncode == 130
    assert "Traceback" not in err
    assert err.strip().splitlines()[-1] == "Stopped."
    assert not list((tmp_path / "out").glob(".*"))


@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX here")
def test_a_second_ctrl_c_ends_it_too(tmp_path: Path) -> None:
    score = Path(music21.__file__).parent / "corpus" / "beethoven" / "opus18no1" / "movement1.mxl"
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", "parts", str(score), "--out", str(tmp_path / "out")],
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stderr is not None
    said = process.stderr.readline()
    while "engraving" not in said:
        said = process.stderr.readline()
    for _ in range(2):
        os.killpg(process.pid, signal.SIGINT)
        time.sleep(0.1)
    process.communicate(timeout=20)
    assert process.returncode == 130


@pytest.mark.skipif(os.name == "nt", reason="file descriptors are closed by the shell here")
def test_a_closed_output_is_no_fault(score: Path) -> None:
    line = f'"{sys.executable}" -m tui read "{score}" >&-'
    asked = subprocess.run(["/bin/sh", "-c", line], capture_output=True, text=True, timeout=60)
    assert "Traceback" not in asked.stderr


def test_a_reader_that_leaves_is_no_fault(score: Path) -> None:
    """As `| head -1` does: the pipe is closed before anything is written."""
    command = [sys.executable, "-m", "tui", "read", str(score)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as asked:
        assert asked.stdout is not None
        assert asked.stderr is not None
        asked.stdout.close()
        said = asked.stderr.read()
    assert asked.returncode == 0
    assert "Broken pipe" not in said
    assert "Traceback" not in said


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_one_line(score: Path) -> None:
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "tui", "read", str(score)]
        asked = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, timeout=60)
    assert asked.returncode == 2
    assert asked.stderr.splitlines()[-1].startswith("Output cannot be written: No space left")


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for processes in /proc")
def test_a_killed_run_leaves_no_worker_behind(score: Path, tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", "prepare", str(score), "--out", str(tmp_path / "out")],
        stderr=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    # Killed as soon as it has a process of its own: while that one loads is when it must notice.
    while len(members(process.pid)) < 2:
        time.sleep(0.01)
    process.kill()
    process.wait()
    deadline = time.monotonic() + 60
    while members(process.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert members(process.pid) == []


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for processes in /proc")
def test_ctrl_c_while_the_sound_process_loads_is_one_line(score: Path) -> None:
    """A terminal sends Ctrl-C to every process of the line, also to one that has not loaded yet."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", "play", str(score), "--silent"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    while not any(is_loading(member) for member in members(process.pid)):
        assert process.poll() is None
        time.sleep(0.001)
    os.killpg(process.pid, signal.SIGINT)
    said = process.communicate(timeout=60)[1]
    assert process.returncode == 130
    assert said.splitlines()[-1] == "Stopped."
    assert "Traceback" not in said


def is_loading(process: int) -> bool:
    """Whether a process was begun as another Python and still answers Ctrl-C (proc(5): SigCgt, a bit a signal)."""
    try:
        command = Path(f"/proc/{process}/cmdline").read_bytes()
        status = Path(f"/proc/{process}/status").read_text()
    except OSError:
        return False
    caught = next(int(line.split()[1], 16) for line in status.splitlines() if line.startswith("SigCgt"))
    return b"spawn_main" in command and bool(caught >> (signal.SIGINT - 1) & 1)


def members(session: int) -> list[int]:
    """Living processes of a session."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if fields[0] != "Z" and int(fields[3]) == session:
            found.append(int(stat.parent.name))
    return found

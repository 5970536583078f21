"""A tuning log that was cut short, edited or written by two at once is never made worse."""

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from score.errors import InbreathError
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tuning_entries import entered, removed
from score.tubes.tuning_log import new_log
from score.tubes.tuning_log_file import NAME, changed, read_log, write_log
from score.tubes.wanted_notes import wanted_notes


@pytest.fixture
def path(stopped, tmp_path):
    return write_log(new_log(tube_set(TubeRequest(wanted_notes("C3-C4 diatonic"), stopped))), tmp_path / NAME)


def spoilt(path: Path, text: str) -> str:
    """What reading and entering say of a spoilt log; the file stays as it was."""
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InbreathError) as read:
        read_log(path)
    with pytest.raises(InbreathError):
        entered(path, ("C3 -18c",), "")
    assert path.read_text(encoding="utf-8") == text
    assert [one.name for one in path.parent.iterdir()] == [path.name]
    line = read.value.line
    assert path.name in line
    assert not any(word in line for word in ("\n", "Group's", "[Errno", "codec"))
    return line


def test_cut_short_anywhere(path):
    """Whatever is left of the file after a cut at a line, no tube is dropped in silence."""
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    whole = len("".join(lines).rstrip())
    for count in range(len(lines)):
        text = "".join(lines[:count])
        if len(text.rstrip()) < whole:
            spoilt(path, text)


def test_says_which_tube_and_what_is_lacking(path):
    text = path.read_text(encoding="utf-8")
    assert "[[tube]] 3 (E3) lacks final" in spoilt(path, text[: text.index("final", text.index('"E3"'))])
    assert "[set] says 8 tubes, the file holds 3 (last: E3)" in spoilt(path, text[: text.index('[[tube]]\nname = "F3')])
    assert "[set] lacks tubes" in spoilt(path, text.replace("tubes = 8\n", ""))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("final = ", "final = 0 # ", "[[tube]] 1 (C3) has final = 0; it must be a figure from 1 to 20000"),
        ("cut = ", "cut = 1 # ", "[[tube]] 1 (C3) has cut = 1; it must be a figure from 636.6 to 20000"),
        ("capped = true", 'capped = "yes"', "write capped = true or capped = false"),
        ("workshop = [20.0", "workshop = [70.0", "[set] cannot be used: 70 °C is outside -10 to 50"),
        ("inside = ", "inside = 99 # ", "[set] cannot be used: inside 99 mm, outside"),
        ("a4 = 440.0", "a4 = 44", "[set] has a4 = 44; it must be a figure from 380 to 500"),
    ],
)
def test_says_what_would_be_taken(old, new, says, path):
    assert says in spoilt(path, path.read_text(encoding="utf-8").replace(old, new, 1))


def test_heard_of_a_tube_that_is_not_there(path):
    more = '\n[[heard]]\ntube = "C6"\nfrequency = 130.0\nair = [20.0, 50.0]\n'
    assert "[[heard]] 1 is of C6" in spoilt(path, path.read_text(encoding="utf-8") + more)


def test_what_cannot_be_read(path, tmp_path):
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(InbreathError, match="is not text in UTF-8"):
        read_log(path)
    with pytest.raises(
        InbreathError, match=r"none.toml: no such file or directory; write the files of a set first"
    ) as caught:
        entered(tmp_path / "none.toml", ("C3 -18c",), "")
    assert "Errno" not in caught.value.line


def _enter(where: str, text: str) -> None:
    entered(Path(where), (text,), "")


def test_entries_made_at_once_are_all_kept(path):
    with ProcessPoolExecutor(4) as pool:
        list(pool.map(_enter, [str(path)] * 24, [f"C3 -{n}c" for n in range(1, 25)]))
    assert len(read_log(path).heard) == 24
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_a_lock_left_behind_goes_and_a_living_one_is_waited_for(path, monkeypatch):
    monkeypatch.setattr("score.tubes.tuning_log_file._PATIENCE", 0.05)
    lock = path.with_name(f".{NAME}.lock")
    lock.touch()
    with pytest.raises(InbreathError, match="busy"):
        changed(path, lambda log: log)
    monkeypatch.setattr("score.tubes.tuning_log_file._STALE", -1.0)
    changed(path, lambda log: log)
    assert not lock.exists()


def test_taking_back_leaves_the_entries_of_others(path):
    mine = entered(path, ("C3 -18c",), "").heard[-1]
    entered(path, ("D3 -12c",), "")
    assert [one.tube for one in removed(path, mine).heard] == ["D3"]
    with pytest.raises(InbreathError, match="holds no such entry of C3"):
        removed(path, mine)
    assert [one.tube for one in read_log(path).heard] == ["D3"]

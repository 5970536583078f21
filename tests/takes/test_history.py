"""The history: what was confirmed stays, whatever happens to the process."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from score.errors import WritingError
from score.takes.history import History
from score.takes.readiness import Readiness

WRITER = """
import sys
from pathlib import Path
from score.takes.history import History
from score.takes.readiness import Readiness
history = History(Path(sys.argv[1]))
number = int(sys.argv[2])
while True:
    history.rate("piece", 1, range(number, number + 4), Readiness.AT_TEMPO, 1.0)
    print(number, flush=True)  # confirmed: from here on it must not be lost
    number += 1
"""


def test_standing_is_what_was_said_last_and_the_best_tempo(tmp_path: Path) -> None:
    history = History(tmp_path / "deep" / "history.sqlite")
    bars = range(8, 16)
    assert history.standing("d", 2, bars) is None
    history.rate("d", 2, bars, Readiness.LEARNING, 1.0)
    history.rate("d", 2, bars, Readiness.UNDER_TEMPO, 0.8)
    history.rate("d", 2, bars, Readiness.UNDER_TEMPO, 0.7)
    standing = history.standing("d", 2, bars)
    assert standing is not None
    assert (standing.readiness, standing.best_tempo, standing.passes) == (Readiness.UNDER_TEMPO, 0.8, 3)
    assert history.standing("d", 1, bars) is None
    assert history.standing("d", 2, range(8, 15)) is None


def test_a_rating_can_be_taken_back(tmp_path: Path) -> None:
    history = History(tmp_path / "h.sqlite")
    history.rate("d", 1, range(4), Readiness.UNDER_TEMPO, 0.6)
    wrong = history.rate("d", 1, range(4), Readiness.BY_HEART, 1.0)
    history.take_back(wrong)
    standing = history.standing("d", 1, range(4))
    assert standing is not None
    assert (standing.readiness, standing.best_tempo) == (Readiness.UNDER_TEMPO, 0.6)


def test_by_heart_counts_where_the_own_part_was_out_of_sight(tmp_path: Path) -> None:
    history = History(tmp_path / "h.sqlite")
    counts = []
    for tempo, in_sight in ((1.0, True), (0.7, True), (1.0, False), (1.0, None)):
        history.rate("d", 1, range(4), Readiness.BY_HEART, tempo, in_sight)
        standing = history.standing("d", 1, range(4))
        assert standing is not None
        counts.append(standing.readiness)
    by_heart = Readiness.BY_HEART
    assert counts == [Readiness.AT_TEMPO, Readiness.UNDER_TEMPO, by_heart, by_heart]


def test_pieces_come_back_latest_first_with_player_and_place(tmp_path: Path) -> None:
    history = History(tmp_path / "h.sqlite")
    history.opened("a", "First", tmp_path / "a.musicxml")
    history.opened("b", "Second", tmp_path / "b.musicxml")
    history.play_as("a", 3)
    history.left_at("a", 31)
    history.opened("a", "First", tmp_path / "moved.musicxml")
    history.close()
    pieces = History(tmp_path / "h.sqlite").pieces()
    assert [piece.digest for piece in pieces] == ["a", "b"]
    assert (pieces[0].player, pieces[0].bar, pieces[0].path.name) == (3, 31, "moved.musicxml")


def test_choices_are_kept(tmp_path: Path) -> None:
    history = History(tmp_path / "h.sqlite")
    assert history.recall("device") == ""
    history.remember("device", "first")
    history.remember("device", "second")
    history.close()
    assert History(tmp_path / "h.sqlite").recall("device") == "second"


def test_a_file_that_is_no_history_is_named(tmp_path: Path) -> None:
    (tmp_path / "h.sqlite").write_text("not a history at all, but long enough to look like a file of some kind" * 20)
    with pytest.raises(WritingError, match=r"h\.sqlite"):
        History(tmp_path / "h.sqlite")


@pytest.mark.skipif(os.name == "nt", reason="kills with SIGKILL")
@pytest.mark.parametrize("kills", [20, pytest.param(200, marks=pytest.mark.campaign)])
def test_kills_lose_nothing_confirmed(tmp_path: Path, kills: int) -> None:
    """SIGKILL at random moments while passes are confirmed one after another."""
    path, confirmed, number = tmp_path / "h.sqlite", set[int](), 0
    History(path).close()
    moments = random.Random(1)
    for _ in range(kills):
        number = kill_while_writing(path, number, moments.uniform(0.0, 0.02), confirmed)
    file = sqlite3.connect(path)
    kept = {first for (first,) in file.execute("SELECT first FROM pass")}
    assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    file.close()
    assert confirmed <= kept
    assert len(confirmed) >= kills


def kill_while_writing(path: Path, number: int, wait: float, confirmed: set[int], program: str = WRITER) -> int:
    """Start a writer without the interpreter's start-up cost: fork, write, be killed."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(writer, 1)
        sys.stdout = os.fdopen(1, "w")
        sys.argv = ["writer", str(path), str(number)]
        exec(compile(program, "writer", "exec"), {"__name__": "__main__"})
    os.close(writer)
    with os.fdopen(reader) as said:
        first = said.readline()
        time.sleep(wait)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        lines = [first, *said.readlines()]
    numbers = [int(line) for line in lines if line.endswith("\n")]
    confirmed.update(numbers)
    # What was written but not yet printed may be there too: go on well after it.
    return max(numbers, default=number) + 10


def test_the_writer_runs_on_its_own_too(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(tmp_path / "h.sqlite"), "0"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "0\n"
    process.kill()
    process.communicate()
    assert History(tmp_path / "h.sqlite").standing("piece", 1, range(4)) is not None


ANSWERER = """
import sys
from pathlib import Path
from score.takes.history import History
history = History(Path(sys.argv[1]))
number = int(sys.argv[2])
while True:
    kept = history.answer(2, str(number), number % 3 > 0)
    if number % 5 == 0:
        history.take_answer_back(kept)
    print(number, flush=True)  # confirmed: from here on it must not be lost
    number += 1
"""


@pytest.mark.parametrize("kills", [10, pytest.param(200, marks=pytest.mark.campaign)])
def test_kills_lose_no_answer_and_none_that_was_undone_comes_back(tmp_path: Path, kills: int) -> None:
    """SIGKILL at random moments while questions are answered and some answers taken back."""
    path, confirmed, number = tmp_path / "h.sqlite", set[int](), 0
    History(path).close()
    moments = random.Random(2)
    for _ in range(kills):
        number = kill_while_writing(path, number, moments.uniform(0.0, 0.02), confirmed, ANSWERER)
    kept = History(path).answers(2)
    assert {str(each) for each in confirmed if each % 5} <= kept.keys()
    assert not {str(each) for each in confirmed if each % 5 == 0} & kept.keys()
    assert all(right == (int(question) % 3 > 0) for question, ((_, right),) in kept.items())
    assert len(confirmed) >= kills

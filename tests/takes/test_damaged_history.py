"""A history that is damaged, unreadable or full: one line, and the file stays as it is."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from score.errors import WritingError
from score.reading.read_file import read_score
from score.takes.history import History
from score.takes.kept_readings import KeptReadings
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.readiness import Readiness
from tests.longer import longer
from tests.takes.test_kept_takes import JUDGED
from tui.command import run

SCORE = Path(__file__).parents[2] / "samples" / "trio-ids.musicxml"
PAGE = 4096


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A history with some hundred rows of the sample's, where the program looks for it."""
    monkeypatch.setattr("tui.settings.history_path", lambda: tmp_path / "history.sqlite")
    piece = read_score(SCORE).piece
    history = History(tmp_path / "history.sqlite")
    history.opened(piece.digest, piece.title, SCORE)
    history.play_as(piece.digest, 1)
    with history.transaction() as file:
        rows = [(piece.digest, 1, 0, 7, 2, 0.9, "2026-11-29T18:00:00+00:00")] * 400
        file.executemany(
            "INSERT INTO pass (digest, player, first, last, readiness, tempo, at) VALUES (?, ?, ?, ?, ?, ?, ?)", rows
        )
        answers = [(1, f"question {n}", 1, "2026-11-29T18:00:00+00:00") for n in range(400)]
        file.executemany("INSERT INTO answer (player, question, is_right, at) VALUES (?, ?, ?, ?)", answers)
    for _ in range(20):
        KeptTakes(history).keep(TakeOf(piece.digest, 1, range(8), 0.9, "sound"), JUDGED)
    history.close()
    return history.path


def overwritten(path: Path, start: int, step: int = PAGE) -> None:
    content = bytearray(path.read_bytes())
    for at in range(start, len(content), step):
        content[at : at + 64] = b"\xab" * 64
    path.write_bytes(content)


def in_sql(*statements: str) -> Callable[[Path], None]:
    def change(path: Path) -> None:
        file = sqlite3.connect(path)
        for statement in statements:
            file.execute(statement)
        file.commit()
        file.close()

    return change


QUESTIONS: tuple[Callable[[History], object], ...] = (
    lambda h: KeptReadings(h).of("d", 1),
    lambda h: h.pieces(),
    lambda h: h.recall("port"),
)
DAMAGES = {
    "no history": lambda path: path.write_bytes(b"not a history" * 400),
    "half of it": lambda path: path.write_bytes(path.read_bytes()[: path.stat().st_size // 2]),
    "pages overwritten": lambda path: overwritten(path, 2 * PAGE),
    "tables gone": in_sql("DROP TABLE pass", "DROP TABLE answer", "DROP TABLE take"),
    "rows without sense": in_sql(
        "UPDATE pass SET readiness = 77, at = 'yesterday'",
        "UPDATE answer SET at = 'never'",
        "UPDATE take SET remarks = '{'",
        "UPDATE take_stroke SET at = '1/0'",
    ),
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES.keys())
@pytest.mark.parametrize(
    "command",
    [
        ("takes",),
        longer(("plan", "--rehearsal", "2099-03-02T19:00/90", "--concert", "2099-03-14")),
        longer(("memory", "--player", "1", "--today")),
    ],
    ids=["takes", "plan", "memory"],
)
def test_a_damaged_history_is_one_line_and_left_as_it_is(
    path: Path, capsys: pytest.CaptureFixture[str], damage: Callable[[Path], None], command: tuple[str, ...]
) -> None:
    damage(path)
    before = path.read_bytes()
    assert run([command[0], str(SCORE), *command[1:]]) == 2
    said = capsys.readouterr()
    (line,) = [line for line in said.err.splitlines() if not line.endswith(" ...")]
    assert line.startswith("Practice history damaged: ")
    assert str(path) in line
    assert "earlier copy" in line
    assert not said.out
    assert path.read_bytes() == before


@pytest.mark.parametrize("ask", QUESTIONS)
def test_every_question_says_so(tmp_path: Path, ask: Callable[[History], object]) -> None:
    history = History(tmp_path / "h.sqlite")
    KeptReadings(history).keep("d", 1, [])
    history.opened("d", "Study", SCORE)
    in_sql("UPDATE reading SET strokes = '[[]]'", "UPDATE piece SET opened = ''", "ALTER TABLE choice RENAME TO other")(
        history.path
    )
    with pytest.raises(WritingError, match="damaged"):
        ask(history)


def test_a_folder_in_its_place_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "h.sqlite").mkdir()
    with pytest.raises(WritingError, match=r"cannot be saved.*who may write there"):
        History(tmp_path / "h.sqlite")


FILLER = """
import resource, signal, sys
from pathlib import Path
from score.errors import WritingError
from score.reading.read_file import read_score
from score.takes.history import History
from score.takes.readiness import Readiness
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
history = History(Path(sys.argv[1]))
size = sum(path.stat().st_size for path in Path(sys.argv[1]).parent.iterdir())
resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
kept = 0
try:
    while kept < 10_000:
        history.rate("piece", 1, range(kept, kept + 4), Readiness.AT_TEMPO, 1.0)
        kept += 1
except WritingError as error:
    print(kept, error.line)
"""


@pytest.mark.skipif(os.name == "nt", reason="limits of a process are POSIX's")
def test_a_full_disk_takes_nothing_of_what_was_kept(tmp_path: Path) -> None:
    """The limit on a file's size (POSIX, setrlimit) stands for the disk."""
    path = tmp_path / "h.sqlite"
    ended = subprocess.run([sys.executable, "-c", FILLER, str(path)], capture_output=True, text=True, check=True)
    kept, _, line = ended.stdout.strip().partition(" ")
    assert line.startswith("Practice history cannot be saved")
    assert int(kept) > 0
    history = History(path)
    for number in range(int(kept)):
        standing = history.standing("piece", 1, range(number, number + 4))
        assert standing is not None
        assert standing.readiness is Readiness.AT_TEMPO
    assert history.standing("piece", 1, range(int(kept), int(kept) + 4)) is None

"""Histories of every age: an older file is carried over whole, a newer one is left alone."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from pathlib import Path

import pytest

from score.errors import WritingError
from score.takes.history import History
from score.takes.history_layout import STEPS
from score.takes.judged_pass import Delay, DelayFrom
from score.takes.kept_readings import KeptReadings
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.readiness import Readiness
from tests.takes.test_kept_takes import JUDGED, NOT_JUDGED

BEFORE = Path(__file__).with_name("history_before_versions.sql")
SIXTH = Path(__file__).with_name("history_of_version_6.sql")


def before_versions(path: Path, script: str = "") -> Path:
    file = sqlite3.connect(path)
    file.executescript(script or BEFORE.read_text(encoding="utf-8"))
    file.close()
    return path


def version_of(path: Path) -> int:
    file = sqlite3.connect(path)
    version = int(file.execute("PRAGMA user_version").fetchone()[0])
    file.close()
    return version


def test_a_file_from_before_versions_keeps_all_it_holds(tmp_path: Path) -> None:
    path = before_versions(tmp_path / "h.sqlite")
    assert version_of(path) == 0
    history = History(path)
    standing = history.standing("d1", 2, range(8, 16))
    assert standing is not None
    assert (standing.readiness, standing.best_tempo, standing.passes) == (Readiness.UNDER_TEMPO, 0.8, 2)
    assert [(piece.title, piece.player, piece.bar) for piece in history.pieces()] == [("Study", 2, 17)]
    assert history.answers(2)["who-enters-17"][0][1]
    assert history.recall("port") == "Stage"
    history.close()
    assert version_of(path) == len(STEPS)


def layout_of(path: Path) -> dict[str, list[object]]:
    """Columns of each table, without their order: name, type, whether it may be empty, what it is otherwise."""
    file = sqlite3.connect(path)
    names = [name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type IN ('table', 'index')")]
    columns = {
        name: sorted(map(str, (row[1:] for row in file.execute(f"PRAGMA table_info({name})")))) for name in names
    }
    file.close()
    return dict(columns)


def test_a_file_of_version_6_is_read_whole(tmp_path: Path) -> None:
    path = before_versions(tmp_path / "h.sqlite", SIXTH.read_text(encoding="utf-8"))
    assert version_of(path) == 6
    history = History(path)
    standing = history.standing("d1", 2, range(8, 16))
    assert standing is not None
    assert (standing.readiness, standing.best_tempo, standing.passes) == (Readiness.BY_HEART, 1.0, 2)
    assert [(piece.title, piece.player, piece.bar) for piece in history.pieces()] == [("Study", 2, 17)]
    answers = {question: given[0][1] for question, given in history.answers(2).items()}
    assert answers == {"who-enters-17": True, "bar 8": True, "bar 9": False}
    assert history.recall("port") == "Stage"
    first, last = KeptTakes(history).of("d1", 2)
    assert (first.what.audio, first.what.tempo, first.what.is_by_heart, first.judged) == ("a.flac", 0.7, True, JUDGED)
    assert first.what.route is not None
    assert [visit.bar for visit in first.what.route.visits] == [8, 9]
    assert (last.number, last.what.route, last.judged) == (3, None, NOT_JUDGED)
    (reading,) = KeptReadings(history).of("d1", 2)
    assert reading == ((Fraction(24), 0.0, 0), (Fraction(73, 3), 0.25, 0), (Fraction(25), 0.51, 1))


@pytest.mark.parametrize("kept", [BEFORE, SIXTH])
def test_an_older_file_ends_with_the_tables_of_a_new_one(tmp_path: Path, kept: Path) -> None:
    old = before_versions(tmp_path / "old.sqlite", kept.read_text(encoding="utf-8"))
    for path in (old, tmp_path / "new.sqlite"):
        History(path).close()
    assert layout_of(old) == layout_of(tmp_path / "new.sqlite")
    assert version_of(old) == len(STEPS)


def test_an_even_older_file_without_answers_is_carried_over_too(tmp_path: Path) -> None:
    lines = BEFORE.read_text(encoding="utf-8").split(";")
    path = before_versions(tmp_path / "h.sqlite", ";".join(line for line in lines if "answer" not in line))
    history = History(path)
    history.answer(2, "q", is_right=True)
    assert history.answers(2).keys() == {"q"}
    assert history.recall("port") == "Stage"


def test_a_newer_file_is_refused_in_one_line_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "h.sqlite"
    History(path).close()
    file = sqlite3.connect(path)
    file.execute("PRAGMA user_version = 99")
    file.close()
    with pytest.raises(WritingError, match=r"newer.*update") as refused:
        History(path)
    assert "\n" not in refused.value.line
    assert version_of(path) == 99


def test_two_programs_may_open_an_old_file_at_once(tmp_path: Path) -> None:
    path = before_versions(tmp_path / "h.sqlite")
    with ThreadPoolExecutor(4) as programs:
        assert list(programs.map(opened_best, [path] * 12)) == [0.8] * 12


def test_passes_kept_before_their_route_was_keep_all_else(tmp_path: Path) -> None:
    path = tmp_path / "h.sqlite"
    file = sqlite3.connect(path)
    for statement in (statement for step in STEPS[:4] for statement in step):
        file.execute(statement)
    file.execute("PRAGMA user_version = 4")
    file.execute(
        "INSERT INTO take (digest, player, first, last, at, tempo, source, audio, judged, why, delay, delay_from, "
        "quality, remarks, level) VALUES ('d1', 2, 8, 15, '2026-03-01T18:00:00+00:00', 0.7, 'sound', 'a.flac', 1, '', "
        "0.04, 'mix', 20.0, '[]', 0.3)"
    )
    file.commit()
    file.close()
    (take,) = KeptTakes(History(path)).of("d1", 2)
    assert take.what == TakeOf("d1", 2, range(8, 16), 0.7, "sound", audio="a.flac")
    assert take.judged.delay == Delay(0.04, DelayFrom.MIX, 20.0)
    assert version_of(path) == len(STEPS)


def opened_best(path: Path) -> float:
    history = History(path)
    standing = history.standing("d1", 2, range(8, 16))
    history.close()
    return standing.best_tempo if standing else 0.0

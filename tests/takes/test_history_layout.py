"""Histories of every age: an older file is carried over whole, a newer one is left alone."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from score.errors import WritingError
from score.takes.history import History, Readiness
from score.takes.history_layout import STEPS
from score.takes.judged_pass import Delay, DelayFrom
from score.takes.kept_takes import KeptTakes, TakeOf

BEFORE = Path(__file__).with_name("history_before_versions.sql")


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

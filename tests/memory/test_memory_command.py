"""`inbreath memory` as it is typed."""

import json
from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from score.piece import Piece
from score.reading import read_score
from score.takes.heart_day import begin
from score.takes.heart_passages import PartByHeart
from score.takes.history import History
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTakes, TakeOf
from tui import clock
from tui.command import run

SAMPLE = str(Path(__file__).parents[2] / "samples" / "quartet.musicxml")


def test_questions_as_json_have_the_documented_keys(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", SAMPLE, "--player", "3", "--questions", "30", "--json"]) == 0
    questions = json.loads(capsys.readouterr().out)
    assert len(questions) == 30
    assert all(list(each) == ["id", "kind", "bar", "at", "text", "choices", "answer"] for each in questions)


def test_look_alikes_are_shown_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", SAMPLE, "--player", "1"]) == 0
    # The sample's own plan: F (97) is B (17) again (samples/README.md).
    assert "  97-103  then A4 E5 on 1" in capsys.readouterr().out


def test_a_player_that_is_not_there_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", SAMPLE, "--player", "9"]) == 2
    assert "no player 9" in capsys.readouterr().err.splitlines()[-1]


def test_today_and_a_round_of_questions_are_two_things(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", SAMPLE, "--player", "1", "--today", "--questions", "5"]) == 2
    assert "leave out one of them" in capsys.readouterr().err.splitlines()[-1]


@cache
def sample() -> Piece:
    return read_score(Path(SAMPLE)).piece


@pytest.fixture
def lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Sequence[int]:
    """Yesterday player 1 lost two bars of a pass by heart."""
    path, bars = tmp_path / "history.sqlite", [18, 19]
    monkeypatch.setattr("tui.settings.history_path", lambda: path)
    history, piece = History(path), sample()
    history.opened(piece.digest, piece.title, Path(SAMPLE))
    history.play_as(piece.digest, 1)
    begin(piece, 1, history)
    part = PartByHeart(piece, piece.player(1))
    strokes = [
        JudgedStroke(bar, at, StrokeState.MISSED if bar in bars else StrokeState.TOGETHER)
        for bar in range(16, 24)
        for at, _ in part.contents.bars[bar]
    ]
    judged = JudgedPass(tuple(strokes), True, "", Delay(0.0, DelayFrom.CLOCK))
    what = TakeOf(piece.digest, 1, range(16, 24), 1.0, source="key", in_sight=False)
    KeptTakes(history).keep(what, judged, part.said(judged, ()))
    history.close()
    monkeypatch.setattr(clock, "source", lambda: datetime.now() + timedelta(days=1))
    return bars


def test_what_was_lost_comes_back_first(lost: Sequence[int], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", SAMPLE, "--player", "1"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Lost by heart, back today"
    assert lines[1].startswith("  bars 19-20, come in at ")
    assert run(["memory", SAMPLE, "--player", "1", "--json"]) == 0
    (passage,) = json.loads(capsys.readouterr().out)["passages"]
    assert [passage["bar"], passage["last_bar"]] == lost
    assert passage["enter"] < 18
    assert passage["leave"] == 20
    assert run(["memory", SAMPLE, "--player", "2"]) == 0
    assert "Lost by heart" not in capsys.readouterr().out


def test_today_has_passages_then_questions_in_ten_minutes(
    lost: Sequence[int], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["memory", SAMPLE, "--player", "1", "--today", "--json"]) == 0
    day = json.loads(capsys.readouterr().out)
    assert [passage["bar"] for passage in day["passages"]] == lost[:1]
    assert 0 < len(day["questions"]) <= 24
    assert 2 < day["minutes"] <= 10
    assert run(["memory", SAMPLE, "--player", "1", "--today"]) == 0
    said = capsys.readouterr().out
    assert said.index("Lost by heart") < said.index("Answers")


def test_the_list_of_takes_says_by_heart_and_what_was_lost(
    lost: Sequence[int], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["takes", SAMPLE, "--player", "1"]) == 0
    assert "by heart, lost 19-20" in capsys.readouterr().out.splitlines()[0]
    assert run(["takes", SAMPLE, "--player", "1", "--json"]) == 0
    (take,) = json.loads(capsys.readouterr().out)
    assert take["by_heart"] is True
    (run_lost,) = take["lost"]
    assert [run_lost["bar"], run_lost["last_bar"]] == lost
    assert Fraction(run_lost["at"]) >= 0


def test_the_plan_sets_ten_minutes_a_day_aside(
    lost: Sequence[int], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ["plan", SAMPLE, "--concert", "2099-03-14", "--rehearsal", "2099-03-02T19:00/90", "--minutes", "1:20"]
    assert run([*asked, "--json"]) == 0
    with_history = {work["player"]: work for work in json.loads(capsys.readouterr().out)["own_work"]}
    assert {number: work["by_heart"] for number, work in with_history.items()} == {1: 10, 2: 0, 3: 0, 4: 0}
    assert max(sum(slot["minutes"] for slot in day["slots"]) for day in with_history[1]["days"]) <= 10
    monkeypatch.setattr("tui.settings.history_path", lambda: Path("none.sqlite"))
    assert run([*asked, "--json"]) == 0
    without = {work["player"]: work for work in json.loads(capsys.readouterr().out)["own_work"]}
    assert without[1]["by_heart"] == 0
    assert max(sum(slot["minutes"] for slot in day["slots"]) for day in without[1]["days"]) > 10

"""`inbreath memory` as it is typed."""

import json
from pathlib import Path

import pytest

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

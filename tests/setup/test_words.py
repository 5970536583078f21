"""Figures that do not contradict each other, names instead of keys, options that do not go together."""

import json
import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from score.group.group_file import Group
from score.piece import Piece
from score.reading import read_score
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.finding_words import finding_line, had_and_needed
from score.setup.setup_check import check
from score.setup.setup_texts import setup_text
from tui.command import run

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


@pytest.mark.parametrize(
    ("had", "needed", "said"),
    [
        (0.8, 1.0, "0.8 s available, 1.0 s needed"),
        (2.0, 1.75, "2.00 s available, 1.75 s needed"),
        (1.76, 1.75, "1.76 s available, 1.75 s needed"),
        (0.96, 1.0, "0.96 s available, 1.00 s needed"),
        (0.998, 1.0, "0.998 s available, 1.000 s needed"),
    ],
)
def test_seconds_do_not_contradict_each_other(had: float, needed: float, said: str) -> None:
    assert had_and_needed(had, needed) == said


def test_a_share_is_said_in_hundredths(piece: Piece) -> None:
    found = Finding(
        FindingKind.HEARING,
        Weight.MENTION,
        1,
        bar=0,
        at=Fraction(0),
        figure=0.61,
        limit=0.5,
        unit="share of strokes",
        text="61 % of the strokes are loud",
    )
    assert finding_line(piece, found).endswith("are loud (limit 50 %)")


def test_instruments_have_names(piece: Piece) -> None:
    text = setup_text(piece, check(piece, Group()))
    assert "suspended cymbal" in text
    assert "suspended-cymbal" not in text


@pytest.fixture
def score(tmp_path: Path) -> str:
    for name in ("quartet.musicxml", "quartet.group.toml"):
        shutil.copy(SAMPLES / name, tmp_path)
    return str(tmp_path / "quartet.musicxml")


def test_limits_and_instruments_are_json_when_asked(score: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["setup", score, "--limits", "--json"]) == 0
    limits = {row["name"]: row for row in json.loads(capsys.readouterr().out)["limits"]}
    assert limits["near_seconds"]["figure"] == 1.0
    assert run(["setup", score, "--instruments", "--json"]) == 0
    rows = {row["instrument"]: row for row in json.loads(capsys.readouterr().out)["instruments"]}
    assert (rows["marimba"]["lowest"], rows["marimba"]["highest"]) == (36, 96)
    assert rows["triangle"]["lowest"] is None


@pytest.mark.parametrize(
    "options",
    [["--stickings", "1", "--limits"], ["--limits", "--instruments"], ["--stickings", "1", "--out", "X"]],
)
def test_what_does_not_go_together_is_refused(
    score: str, options: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["setup", score, *options]) == 2
    said = capsys.readouterr()
    assert not said.out
    assert "do not go together" in said.err
    assert said.err.strip().count("\n") == 0
    assert not (tmp_path / "X").exists()


def test_a_limit_of_nothing_ends_no_command(score: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path(score).with_suffix(".group.toml").write_text("[limits]\nhand_mm_a_second = 0\n")
    assert run(["setup", score]) == 2
    assert "[limits] hand_mm_a_second = 0 is not a figure" in capsys.readouterr().err.strip().splitlines()[-1]

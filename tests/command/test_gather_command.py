"""`inbreath gather` as a player meets it."""

import json
import shutil
from pathlib import Path

import pytest

from tui.command import run

SAMPLES = Path(__file__).parents[2] / "samples"
SHAPE = '\n[[shape]]\nid = "s000001"\nbars = "57-64"\nkind = "back"\npercent = 8\nby = 2\n'


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = Path(shutil.copy(SAMPLES / "quartet.musicxml", tmp_path / "quartet.musicxml"))
    (tmp_path / "quartet.group.toml").write_text("# ours\n" + SHAPE)
    (tmp_path / "from 3.toml").write_text(
        "# ours\n"
        + SHAPE.replace("back", "forward").replace("8", "4").replace("by = 2", "by = 3")
        + '\n[[note]]\nbar = "31"\ntext = "breathe"\n'
    )
    return path


def test_copies_are_gathered_and_what_differs_is_said_and_settled(
    score: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy, own = score.with_name("from 3.toml"), score.with_name("quartet.group.toml")
    before = copy.read_bytes()
    assert run(["gather", str(score), str(copy)]) == 0
    out = capsys.readouterr().out
    assert 'new: bar 31: "breathe" to all' in out
    assert "bars 57-64: 2 holds back 8 % (mine), 3 leans forward 4 %" in out
    assert copy.read_bytes() == before
    assert run(["gather", str(score), "--json"]) == 0
    (matter,) = json.loads(capsys.readouterr().out)["to settle"]
    assert [side["says"] for side in matter["sides"]] == ["2 holds back 8 %", "3 leans forward 4 %"]
    assert run(["gather", str(score), str(copy), "--theirs"]) == 0
    assert "To settle" not in capsys.readouterr().out
    assert own.read_text().count("[[shape]]") == 1
    assert "percent = 4" in own.read_text()
    assert run(["gather", str(score)]) == 0
    assert capsys.readouterr().out == "Nothing is left to settle.\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["none.toml"], "No such copy: none.toml; name a copy of the group's file"),
        (["--mine", "--theirs"], "keep one of them"),
    ],
)
def test_what_cannot_be_gathered_is_one_line_and_changes_nothing(
    score: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    own = score.with_name("quartet.group.toml")
    before = own.read_bytes()
    assert run(["gather", str(score), *arguments]) == 2
    assert said in capsys.readouterr().err
    assert own.read_bytes() == before

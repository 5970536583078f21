"""Cards as PDF, read back: A5, a dozen a sheet, every question with its choices, every answer at the foot."""

import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from score.memory.question import Question
from score.memory.question_round import question_round
from score.places import bar_name
from score.reading import read_score
from score.recall.cards import _in_short
from tui.command import run

SAMPLES = Path(__file__).parents[2] / "samples"
MM = 25.4 / 72


def boxes(page: Any) -> list[tuple[str, float, float, float, float]]:
    """Every letter with left, bottom, right and top, mm."""
    text = page.get_textpage()
    return [
        (text.get_text_range(n, 1), *(MM * side for side in text.get_charbox(n))) for n in range(text.count_chars())
    ]


@pytest.mark.parametrize(("sample", "player", "many"), [("quartet", 3, 30), ("trio-plain", 2, 12)])
def test_every_question_and_every_answer_stand_on_the_sheets(
    sample: str, player: int, many: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score, path = SAMPLES / f"{sample}.musicxml", tmp_path / "cards.pdf"
    asked = ["memory", str(score), "--player", str(player), "--questions", str(many), "--cards", str(path), "--json"]
    assert run(asked) == 0
    (values,) = json.loads(capsys.readouterr().out)
    piece = read_score(score).piece
    questions = question_round(piece, piece.player(player), many, lap=1)
    pages = list(pypdfium2.PdfDocument(path))
    assert values == {"file": str(path), "sheets": len(pages), "questions": len(questions)}
    assert len(pages) <= -(-len(questions) // 8)
    text = " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in pages)
    for number, question in enumerate(questions, 1):
        letter = "abcdefgh"[question.choices.index(question.answer)]
        # Also where bars are drawn to choose from, the answer says what stands in the right one.
        words = re.escape(question.answer.split(", ")[0])
        assert re.search(rf"\b{number}{letter} (only )?{words}", text)
        assert re.search(rf"\(bar {bar_name(piece, question.bar)}\b", text)
    for page in pages:
        # A5 as ISO 216 has it; nothing stands outside it.
        assert [round(MM * side) for side in page.get_size()] == [148, 210]
        letters = [box for box in boxes(page) if box[0].strip()]
        assert min(left for _, left, *_ in letters) > 5
        assert max(right for *_, right, _ in letters) < 143
        assert min(bottom for _, _, bottom, *_ in letters) > 4


@pytest.mark.campaign
def test_bars_to_choose_from_do_not_say_which_they_are(tmp_path: Path) -> None:
    path = tmp_path / "cards.pdf"
    score = SAMPLES / "quartet.musicxml"
    assert run(["memory", str(score), "--player", "1", "--questions", "30", "--cards", str(path)]) == 0
    piece = read_score(score).piece
    questions = [question.kind for question in question_round(piece, piece.player(1), 30, lap=1)]
    assert {"goes on", "fork", "first"} <= set(questions)
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path))
    # Names of staves and tempi would stand in the drawings.
    assert "mar." not in text
    assert "Moving, light" not in text
    # Bars are drawn, not said.
    assert "What comes next?" in text
    assert "|  what" not in text


def test_an_answer_says_a_bar_as_far_as_it_takes() -> None:
    def said(answer: str, *others: str) -> str:
        return _in_short(Question("", "fork", 0, Fraction(0), text="", choices=(answer, *others), answer=answer))

    assert said("C4 on 1", "D4 on 1") == "C4 on 1"
    assert said("C4 on 1, D4 on 2", "C4 on 1, E4 on 2") == "C4 on 1, D4 on 2"
    assert said("C4 on 1, D4 on 2, E4 on 3, F4 on 4", "D4 on 1") == "C4 on 1, D4 on 2, E4 on 3 …"
    scale = "C4 on 1, D4 on 1+, E4 on 2, F4 on 2+, G4 on 3"
    assert said(scale, f"{scale.replace('G4', 'A4')}, C5 on 4") == "C4 on 1, D4 on 1+ … G4 on 3"
    assert said(f"{scale}, C5 on 4", scale.replace("G4", "A4")) == "C4 on 1, D4 on 1+ … G4 on 3 …"
    assert said("C4 on 1", "C4 on 1, D4 on 2") == "only C4 on 1"
    assert said("rest", "C4 on 1") == "rest"

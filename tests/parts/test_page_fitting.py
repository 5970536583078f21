"""Pages that were thought too low or too tall are engraved again, moved, and fit; stands that cannot be are refused."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.bar_estimate import bar_shapes
from score.parts.page_costs import BarShape
from score.parts.paper import PageOptions, PartPages
from score.parts.part_pages import part_pages
from score.parts.uncued_part import uncued_part
from score.reading import read_score

MM = 25.4 / 72
SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"


def sample(player: int) -> PartPages:
    reading = read_score(SAMPLE)
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    return part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions())


def feet(pages: PartPages) -> list[float]:
    """How far the lowest line of each page stands from the paper's lower edge, mm."""
    paths = pypdfium2.raw.FPDF_PAGEOBJ_PATH
    return [
        min(item.get_bounds()[1] * MM for item in page.get_objects(filter=[paths], max_depth=8))
        for page in pypdfium2.PdfDocument(pages.pdf)
    ]


def wrongly_thought(monkeypatch: pytest.MonkeyPatch, factor: float, engravings: int) -> None:
    """Let the heights be estimated wrongly by a factor, and engrave so many times at most."""

    def wrong(*arguments: Any) -> list[BarShape]:
        return [
            shape._replace(above=shape.above * factor, below=shape.below * factor) for shape in bar_shapes(*arguments)
        ]

    monkeypatch.setattr("score.parts.page_fitting.bar_shapes", wrong)
    monkeypatch.setattr("score.parts.page_fitting._ENGRAVINGS", engravings)


@pytest.mark.parametrize("engravings", [1, 3])
def test_pages_fit_however_low_they_were_thought(monkeypatch: pytest.MonkeyPatch, engravings: int) -> None:
    wrongly_thought(monkeypatch, 0.5, engravings)
    pages = sample(4)
    assert not [line for line in pages.warnings if "too tall" in line]
    # 19 mm of foot; a stem or a slur may reach a millimetre into it.
    assert min(feet(pages)) > 17.5


def test_pages_thought_too_tall_are_divided_again(monkeypatch: pytest.MonkeyPatch) -> None:
    as_thought = sample(4).page_count
    wrongly_thought(monkeypatch, 1.8, 1)
    never_measured = sample(4).page_count
    wrongly_thought(monkeypatch, 1.8, 3)
    assert sample(4).page_count == as_thought < never_measured


@pytest.mark.parametrize(
    ("asked", "title"),
    [
        (["--paper", "foolscap"], "Unknown paper"),
        (["--paper", "20x30 mm"], "Paper too small or too large"),
        (["--booklet", "--side-by-side", "3"], "Booklet"),
    ],
)
def test_a_stand_that_cannot_be_is_refused_before_anything_is_read(asked: list[str], title: str) -> None:
    command = [sys.executable, "-m", "tui", "parts", str(SAMPLE), "--out", os.devnull, *asked]
    answer = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert answer.returncode == 2
    assert answer.stderr.startswith(f"{title}: ")
    assert len(answer.stderr.splitlines()) == 1

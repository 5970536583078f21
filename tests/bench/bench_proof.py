"""What the proof of a part costs: naming notes, listing the source's signs, reading the drawing back.

A share of making the part, both measured in the same run; it may not pass a tenth.

Run by hand: python -m pytest tests/bench/bench_proof.py -s
"""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import music21
import pytest

from score.cues.cue_choice import choose_cues
from score.parts import document, part_pages, uncued_part
from score.parts.paper import PageOptions
from score.reading import read_score

CORPUS = Path(music21.__file__).parent / "corpus"
SCORES = [
    Path(__file__).parents[2] / "samples" / "quartet.musicxml",
    CORPUS / "haydn" / "opus74no1" / "movement2.mxl",
    CORPUS / "mozart" / "k155" / "movement1.mxl",
]


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_the_proof_costs_less_than_a_tenth(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    spent = [0.0]

    def timed(work: Callable[..., Any]) -> Callable[..., Any]:
        def measured(*given: Any, **named: Any) -> Any:
            start = time.process_time()
            result = work(*given, **named)
            spent[0] += time.process_time() - start
            return result

        return measured

    for module, name in ((document, "named_notes"), (uncued_part, "source_signs"), (part_pages, "unprinted_signs")):
        monkeypatch.setattr(module, name, timed(getattr(module, name)))
    reading = read_score(path)
    for _ in range(2):  # the first time everything is loaded
        spent[0], start = 0.0, time.process_time()
        for player in reading.piece.players:
            sheet = choose_cues(reading.piece, player.number)
            part = uncued_part.uncued_part(reading, sheet)
            part_pages.part_pages(part, reading.piece, sheet, PageOptions())
        whole = time.process_time() - start
    print(f"{path.stem}: {100 * spent[0] / whole:.1f} % of {whole:.2f} s")
    assert spent[0] < whole / 10

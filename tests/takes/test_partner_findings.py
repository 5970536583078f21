"""With whom one is together: offsets made for it come back, and chance accuses nobody."""

import random
from pathlib import Path

import pytest

from score.reading import read_score
from score.takes.expected_strokes import expected_pass
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.partner_findings import LEAST_SHARED, partner_findings
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
EXPECTED = expected_pass(PIECE, bars(PIECE, range(16, 40)), 2).strokes


def shares(number: int) -> set[tuple[int, object]]:
    return {(stroke.bar, stroke.at) for stroke in PIECE.player(number).strokes}


def passes(count: int, seed: int, with_three: float = 0.0, late: float = 0.0) -> list[JudgedPass]:
    chance = random.Random(seed)
    three = shares(3)
    taken = []
    for _ in range(count):
        strokes = tuple(
            JudgedStroke(
                stroke.bar,
                stroke.at,
                StrokeState.TOGETHER,
                offset_ms=late + chance.gauss(0, 12) + (with_three if (stroke.bar, stroke.at) in three else 0.0),
            )
            for stroke in EXPECTED
        )
        taken.append(JudgedPass(strokes, True, "", Delay(0.0, DelayFrom.CLOCK)))
    return taken


def test_one_who_rushes_with_one_partner_is_told_so_and_not_of_the_others() -> None:
    rushed = partner_findings(PIECE, 2, passes(6, 1, with_three=-25.0, late=30.0))
    found = {finding.number: finding for finding in rushed}
    assert 2 not in found
    assert found[3].words == "you rush"
    assert found[3].later is not None
    assert found[3].later.mean == pytest.approx(-25.0, abs=4.0)
    assert found[3].spread_ms == pytest.approx(12.0, abs=3.0)
    assert all(finding.words != "you rush" for number, finding in found.items() if number != 3)


def test_chance_accuses_hardly_anybody() -> None:
    """At a sureness of 95 % and 6 ms that can be heard, of 40 players who lean nowhere no more than 2."""
    said = [finding.words for seed in range(40) for finding in partner_findings(PIECE, 2, passes(2, 100 + seed))]
    assert len(said) >= 80
    assert sum(bool(words) for words in said) <= 2


def test_too_few_shared_strokes_say_nothing() -> None:
    count = sum((stroke.bar, stroke.at) in shares(3) for stroke in EXPECTED)
    short = passes(1, 3)[0]
    few = [stroke for stroke in short.strokes if (stroke.bar, stroke.at) in shares(3)][: LEAST_SHARED - 1]
    assert count >= LEAST_SHARED
    assert [f.number for f in partner_findings(PIECE, 2, [short._replace(strokes=tuple(few))]) if f.number == 3] == []

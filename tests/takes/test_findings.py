"""What passes are said to show: what was put there is told, and chance is not."""

from collections.abc import Callable

import numpy as np
import pytest

from score.piece import Piece
from score.takes.expected_strokes import ExpectedStroke, expected_pass
from score.takes.hand_findings import hand_finding
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.pass_words import findings_words, pass_words
from score.takes.place_findings import lost_strokes, place_findings
from score.takes.tempo_findings import tempo_finding
from score.time.route import whole
from tests.conftest import MakePiece
from tests.strokes.test_timing_figures import asynchronies

LINE = "|".join(["xxxxxxxxxxxxxxxx", "x...x...x...x...", "....xxxx....xxxx", "x.x.x.x.x.x.x.x."] * 2)
OTHER = "|".join(["x...............", "x.......x.......", "x...x...x...x...", "x...x...x...x..."] * 2)
Late = Callable[[ExpectedStroke], float]


def passes_of(
    piece: Piece, count: int, seed: int, late: Late, missed: frozenset[int] = frozenset()
) -> list[JudgedPass]:
    """Passes of a player who corrects (Vorberg & Schulze, 2002), later by `late` milliseconds stroke by stroke."""
    rng = np.random.default_rng(seed)
    expected = expected_pass(piece, whole(piece), 1)
    passes = []
    for _ in range(count):
        noise = asynchronies(rng, len(expected.strokes), 0.5)
        strokes = []
        for index, (stroke, away) in enumerate(zip(expected.strokes, noise, strict=True)):
            offset = away + late(stroke)
            state = StrokeState.MISSED if index in missed else StrokeState.TOGETHER
            strokes.append(
                JudgedStroke(
                    stroke.bar,
                    stroke.at,
                    state,
                    offset_ms=None if index in missed else offset,
                    seconds=stroke.seconds + offset / 1000,
                    expected=stroke.seconds,
                    hand="RL"[index % 2],
                )
            )
        passes.append(JudgedPass(tuple(strokes), True, "", delay=Delay(0.0, DelayFrom.CLOCK)))
    return passes


@pytest.fixture(scope="module")
def piece(make_piece: MakePiece) -> Piece:
    return make_piece(LINE, OTHER)


def test_a_figure_that_rushes_is_named(piece: Piece) -> None:
    passes = passes_of(piece, 6, 180, lambda stroke: -25.0 if stroke.bar == 2 and stroke.at < 2 else 0.0)
    findings = place_findings(piece, 1, passes)
    assert findings
    first = findings[0]
    assert (first.place.bar, first.place.at, first.place.after_rest) == (2, 1, True)
    low, high = first.figure.interval
    assert low <= -25.0 + 25.0 * 4 / 80 <= high
    assert (first.passes, first.of) == (6, 6)
    line = next(findings_words(piece, 1, passes))
    assert line.startswith("Sixteenths after the rest in bar 3: ")
    assert line.endswith(" ms earlier than the rest, 6 passes of 6")


def test_chance_accuses_no_place_and_no_hand(piece: Piece) -> None:
    accused = 0
    for seed in range(181, 221):
        passes = passes_of(piece, 4, seed, lambda _: 0.0)
        accused += bool(place_findings(piece, 1, passes))
        hands = hand_finding(passes)
        assert hands is not None
        accused += hands.is_sure and abs(hands.later.mean) >= 6
    assert accused <= 6


def test_a_late_hand_is_told_against_the_other(piece: Piece) -> None:
    expected = expected_pass(piece, whole(piece), 1)
    left = {stroke.offset for stroke in expected.strokes[1::2]}
    hands = hand_finding(passes_of(piece, 2, 230, lambda stroke: 12.0 if stroke.offset in left else 0.0))
    assert hands is not None
    assert hands.is_sure
    assert hands.later.mean == pytest.approx(12.0, abs=5)
    assert hand_finding([]) is None


def test_rushing_is_told_from_the_first_third_to_the_last(piece: Piece) -> None:
    length = float(piece.length)
    (judgement,) = passes_of(piece, 1, 232, lambda stroke: -60.0 * float(stroke.offset) / length)
    finding = tempo_finding(judgement)
    assert finding is not None
    assert finding.moved.mean == pytest.approx(-40.0, abs=15)
    assert any(line.startswith("Rushing: ") for line in pass_words(piece, 1, judgement))
    (steady,) = passes_of(piece, 1, 233, lambda _: 0.0)
    assert not any(line.startswith(("Rushing", "Dragging")) for line in pass_words(piece, 1, steady))


def test_strokes_lost_again_and_again_are_counted(piece: Piece) -> None:
    passes = passes_of(piece, 3, 234, lambda _: 0.0, missed=frozenset({0, 1}))
    (place,) = lost_strokes(passes)
    assert (place.bar, place.lost, place.written) == (0, 6, 48)


def test_thin_passes_say_nothing(make_piece: MakePiece) -> None:
    short = make_piece("xxxx|xxxx")
    (judgement,) = passes_of(short, 1, 235, lambda _: -40.0)
    assert judgement.mean_ms is None
    assert tempo_finding(judgement) is None
    assert place_findings(short, 1, [judgement]) == ()
    assert not list(findings_words(short, 1, [judgement]))

"""What a pass proposes of readiness, and that it never gets better with more strokes lost or a slower tempo."""

from fractions import Fraction

import pytest

from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.readiness import Readiness
from score.takes.readiness_proposal import proposed_readiness


def a_pass(missed: int, extra: int = 0, unsure: int = 0, strokes: int = 100) -> JudgedPass:
    states = [StrokeState.MISSED] * missed + [StrokeState.UNSURE] * unsure
    states += [StrokeState.TOGETHER] * (strokes - len(states)) + [StrokeState.EXTRA] * extra
    rows = tuple(JudgedStroke(at // 4, Fraction(at % 4), state) for at, state in enumerate(states))
    return JudgedPass(rows, True, "", Delay(0.0, DelayFrom.CLOCK))


@pytest.mark.parametrize(
    ("judged", "tempo", "wanted"),
    [
        (a_pass(2), 1.0, Readiness.AT_TEMPO),
        (a_pass(2), 0.8, Readiness.UNDER_TEMPO),
        (a_pass(8), 1.0, Readiness.UNDER_TEMPO),
        (a_pass(30), 1.0, Readiness.LEARNING),
        (a_pass(0, extra=40), 1.0, Readiness.LEARNING),
        (a_pass(1, unsure=60), 1.0, Readiness.AT_TEMPO),
        (a_pass(0, unsure=100), 1.0, None),
        (a_pass(0)._replace(judged=False), 1.0, None),
    ],
)
def test_a_pass_proposes_what_a_player_would_say(judged: JudgedPass, tempo: float, wanted: Readiness | None) -> None:
    assert proposed_readiness(judged, tempo) is wanted


def test_more_lost_or_slower_never_proposes_more() -> None:
    for tempo in (0.5, 0.95, 1.2):
        steps = [proposed_readiness(a_pass(missed), tempo).step for missed in range(60)]
        assert steps == sorted(steps, reverse=True)
    for missed in range(60):
        slow, fast = (proposed_readiness(a_pass(missed), tempo).step for tempo in (0.5, 1.0))
        assert slow <= fast


def test_a_clean_pass_without_the_part_is_by_heart() -> None:
    assert proposed_readiness(a_pass(0), 1.0, in_sight=False) is Readiness.BY_HEART
    assert proposed_readiness(a_pass(0), 1.0, in_sight=True) is Readiness.AT_TEMPO
    assert proposed_readiness(a_pass(0), 0.8, in_sight=False) is Readiness.UNDER_TEMPO
    # Two strokes running are a place that was lost.
    assert proposed_readiness(a_pass(2), 1.0, in_sight=False) is Readiness.AT_TEMPO

"""Where a pass was lost: strokes left out on purpose come back as places, single slips do not."""

from fractions import Fraction
from pathlib import Path

import pytest

from score.reading.read_file import read_score
from score.strokes.heard_stroke import KEY, HeardStroke
from score.takes.expected_strokes import expected_pass
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.live_pass import LivePass, judge_live
from score.takes.lost_runs import lost_names, lost_runs, lost_words
from score.takes.pad_delay_text import PadDelay
from score.time.pulse import PulseOptions
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples/quartet.musicxml").piece
ROUTE = bars(PIECE, range(16, 40))
TOGETHER, MISSED, WRONG, UNSURE = StrokeState.TOGETHER, StrokeState.MISSED, StrokeState.WRONG, StrokeState.UNSURE


def judged(*states: tuple[int, int, StrokeState]) -> JudgedPass:
    """A pass of (bar, quarter, state)."""
    strokes = tuple(JudgedStroke(bar, Fraction(at), state) for bar, at, state in states)
    return JudgedPass(strokes, True, "", Delay(0.0, DelayFrom.CLOCK))


@pytest.mark.parametrize(("player", "gone"), [(1, {19, 20, 27}), (2, {17}), (3, {30, 31}), (4, {36, 37, 38})])
def test_bars_left_out_of_a_tapped_pass_are_the_places_lost(player: int, gone: set[int]) -> None:
    expected = expected_pass(PIECE, ROUTE, player, PulseOptions())
    played = [HeardStroke(100 + stroke.seconds, source=KEY) for stroke in expected.strokes if stroke.bar not in gone]
    judgement = judge_live(PIECE, LivePass(ROUTE, player, PulseOptions(), 100.0), played, PadDelay(0.0, 0.0, 8))
    assert judgement is not None
    runs = lost_runs(judgement)
    written = {stroke.bar for stroke in expected.strokes}
    assert {bar for run in runs for bar in run.bars} == gone & written
    assert sum(run.strokes for run in runs) == sum(stroke.bar in gone for stroke in expected.strokes)
    assert all(run.is_whole for run in runs)


def test_a_pass_that_loses_nothing_has_no_places() -> None:
    expected = expected_pass(PIECE, ROUTE, 1, PulseOptions())
    played = [HeardStroke(stroke.seconds, source=KEY) for stroke in expected.strokes]
    judgement = judge_live(PIECE, LivePass(ROUTE, 1, PulseOptions(), 0.0), played, PadDelay(0.0, 0.0, 8))
    assert judgement is not None
    assert lost_runs(judgement) == ()


def test_one_stroke_slips_and_two_running_or_a_whole_bar_are_lost() -> None:
    slip = judged((3, 0, TOGETHER), (3, 1, MISSED), (3, 2, TOGETHER), (4, 0, TOGETHER))
    assert lost_runs(slip) == ()
    running = judged((3, 0, TOGETHER), (3, 1, MISSED), (3, 2, WRONG), (4, 0, TOGETHER))
    assert [(run.bars, run.at, run.strokes) for run in lost_runs(running)] == [(range(3, 4), Fraction(1), 2)]
    alone = judged((3, 0, TOGETHER), (4, 0, MISSED), (5, 0, TOGETHER))
    assert [run.bars for run in lost_runs(alone)] == [range(4, 5)]


def test_what_cannot_be_told_is_neither_lost_nor_played() -> None:
    through = judged((3, 0, MISSED), (3, 1, UNSURE), (3, 2, MISSED), (3, 3, TOGETHER))
    assert [run.strokes for run in lost_runs(through)] == [2]
    assert lost_runs(judged((3, 0, UNSURE), (3, 1, UNSURE))) == ()
    assert lost_runs(through._replace(judged=False)) == ()


def test_entries_far_apart_are_places_of_their_own() -> None:
    entries = judged((3, 0, TOGETHER), (9, 0, MISSED), (9, 2, MISSED), (20, 0, MISSED), (21, 0, TOGETHER))
    assert [run.bars for run in lost_runs(entries)] == [range(9, 10), range(20, 21)]


def test_places_are_said_by_printed_bars() -> None:
    runs = lost_runs(judged((16, 0, TOGETHER), (16, 2, MISSED), (17, 0, MISSED), (17, 2, TOGETHER), (21, 0, MISSED)))
    assert lost_names(PIECE, runs) == "17-18, 22"
    assert lost_words(PIECE, runs) == "bar 17 from beat 3 to bar 18, 2 strokes; bar 22, all of it"

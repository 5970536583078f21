"""Pads and keyboards that send other notes than are written: what may be said of such a pass."""

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from score.reading import read_score
from score.strokes.heard_stroke import MIDI, HeardStroke
from score.takes.expected_strokes import ExpectedStroke, expected_pass
from score.takes.judged_pass import JudgedPass, StrokeState
from score.takes.played_pass import judge_played
from score.takes.sent_notes import OTHER_NOTES, OTHER_OCTAVE
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
ROUTE = bars(PIECE, range(16, 24))
EXPECTED = expected_pass(PIECE, ROUTE, 2)
COMMONEST = Counter(min(stroke.pitches) for stroke in EXPECTED.strokes).most_common(1)[0][0]


def passed(note: Callable[[ExpectedStroke], int], start: float | None = 1.0, late: float = 0.01) -> JudgedPass:
    """A pass of which each stroke sends some note; where no start is given, as a file on the machine's own clock."""
    chance = random.Random(180)
    begins = EXPECTED.counts[1].seconds if start is None else start
    heard = [
        HeardStroke(begins + stroke.seconds + chance.gauss(late, 0.012), 0.8, note(stroke), source=MIDI)
        for stroke in EXPECTED.strokes
    ]
    return judge_played(EXPECTED, heard, start=start)


def right(stroke: ExpectedStroke) -> int:
    return min(stroke.pitches)


@pytest.mark.parametrize("start", [1.0, None])
@pytest.mark.parametrize("note", [lambda stroke: 38, lambda stroke: COMMONEST, lambda stroke: 36 + right(stroke) % 5])
def test_a_practice_pad_is_judged_by_its_moments(note: Callable[[ExpectedStroke], int], start: float | None) -> None:
    judgement = passed(note, start)
    assert judgement.judged
    assert OTHER_NOTES in judgement.remarks
    assert all(stroke.state.is_timed for stroke in judgement.strokes)
    assert judgement.mean_ms == pytest.approx(10.0, abs=4.0)


@pytest.mark.parametrize("by", [12, -24])
def test_another_octave_is_no_wrong_note_and_a_wrong_note_is_one_there_too(by: int) -> None:
    slip = EXPECTED.strokes[20]
    judgement = passed(lambda stroke: right(stroke) + by + (stroke == slip))
    assert OTHER_OCTAVE in judgement.remarks
    wrong = [stroke for stroke in judgement.strokes if stroke.state is StrokeState.WRONG]
    assert [(stroke.bar, stroke.at) for stroke in wrong] == [(slip.bar, slip.at)]


def test_notes_as_written_and_some_slips_are_left_as_they_are() -> None:
    slips = EXPECTED.strokes[3:60:9]
    judgement = passed(lambda stroke: right(stroke) + (stroke in slips))
    assert judgement.remarks == ()
    assert sum(stroke.state is StrokeState.WRONG for stroke in judgement.strokes) == len(slips)


def test_the_same_notes_in_another_order_are_not_this_pass() -> None:
    notes = [right(stroke) for stroke in EXPECTED.strokes]
    random.Random(181).shuffle(notes)
    coming = iter(notes)
    judgement = passed(lambda stroke: next(coming))
    assert not judgement.judged
    assert "notes are not the written ones: check score, player, bars and tempo" in judgement.why


def test_chance_notes_at_chance_moments_are_not_judged() -> None:
    chance = random.Random(182)
    for _ in range(10):
        moments = sorted(chance.uniform(1, 1 + EXPECTED.seconds) for _ in EXPECTED.strokes)
        heard = [HeardStroke(at, 0.8, chance.randint(30, 90), source=MIDI) for at in moments]
        assert not judge_played(EXPECTED, heard, start=1.0).judged

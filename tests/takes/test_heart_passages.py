"""Passages lost by heart: where to come in, when they come back, and what a corrected score does to them."""

from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import pytest

from score.piece import Piece
from score.reading.read_file import read_score
from score.takes import kept_takes
from score.takes.heart_day import HeartDay, begin, due_passages, first_day, heart_day, planned_minutes
from score.takes.heart_passages import PartByHeart, passage_words, passages_json
from score.takes.history import History
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.live_pass import LEAST_STROKES
from tests.conftest import MakePiece

SAMPLE = Path(__file__).parents[2] / "samples/quartet.musicxml"
PIECE = read_score(SAMPLE).piece
FIRST = date(2026, 3, 2)


def part_of(piece: Piece, number: int = 1, phrases: Sequence[int] = ()) -> PartByHeart:
    return PartByHeart(piece, piece.player(number), phrases)


def by_heart(part: PartByHeart, bars: range, lost: Collection[int] = ()) -> JudgedPass:
    """A pass over some bars that loses some of them whole."""
    strokes = [
        JudgedStroke(bar, at, StrokeState.MISSED if bar in lost else StrokeState.TOGETHER)
        for bar in bars
        for at, _ in part.contents.bars[bar]
    ]
    return JudgedPass(tuple(strokes), True, "", Delay(0.0, DelayFrom.CLOCK))


class Days:
    """Passes by heart, day by day."""

    def __init__(self, path: Path, part: PartByHeart, monkeypatch: pytest.MonkeyPatch) -> None:
        self.history, self.part, self.monkeypatch = History(path), part, monkeypatch
        self.takes = KeptTakes(self.history)

    def play(self, day: int, bars: range, lost: Collection[int] = ()) -> int:
        # Local noon, so that the day is the same wherever the test runs.
        noon = datetime(FIRST.year, FIRST.month, FIRST.day, 12).astimezone(UTC) + timedelta(days=day)
        self.monkeypatch.setattr(kept_takes, "written_now", noon.isoformat)
        judged = by_heart(self.part, bars, lost)
        number = self.part.player.number
        what = TakeOf(self.part.piece.digest, number, bars, 1.0, source="key", in_sight=False)
        return self.takes.keep(what, judged, self.part.said(judged, self.history.answers(number).keys()))

    def due(self, day: int, part: PartByHeart | None = None) -> list[range]:
        passages = due_passages(part or self.part, self.history, FIRST + timedelta(days=day))
        return [passage.bars for passage in passages]

    def whole(self, day: int) -> HeartDay:
        return heart_day(self.part, self.history, FIRST + timedelta(days=day), None)


def test_what_was_lost_comes_back_after_one_two_four_and_seven_days(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As `tests/memory/test_when_to_ask.py` asks it of questions."""
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    days.play(0, range(16, 40), lost={18, 19})
    came = []
    for day in range(30):
        if due := days.due(day):
            assert due == [range(18, 20)]
            came.append(day)
            days.play(day, range(16, 24))
    assert came == [1, 2, 4, 8, 15, 22, 29]


def test_lost_again_it_comes_the_next_day_and_never_twice_on_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    days.play(0, range(16, 40), lost={18, 19})
    assert days.due(0) == []
    days.play(0, range(16, 40))  # found again on the same day: that tells nothing of tomorrow
    days.play(1, range(16, 40), lost={19})
    assert days.due(1) == []
    assert days.due(2) == [range(18, 20)]  # 18 after a day, 19 after a day
    days.play(2, range(16, 40))
    assert days.due(3) == [range(19, 20)]


def test_bars_that_were_never_lost_and_passes_with_the_part_in_sight_say_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    days.play(0, range(16, 40))
    assert days.history.answers(1) == {}
    days.takes.keep(TakeOf(PIECE.digest, 1, range(16, 40), 1.0, "key"), by_heart(days.part, range(16, 40), {20, 21}))
    assert days.due(5) == []
    assert [take.what.is_by_heart for take in days.takes.of(PIECE.digest, 1)] == [True, False]


def test_whoever_is_out_to_the_end_has_lost_the_bars_where_it_began(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    days.play(0, range(16, 40), lost={36, 37})
    days.play(1, range(16, 40), lost=range(20, 40))
    assert days.due(2) == [range(36, 38), range(20, 28)]  # of 36 and 37 the second pass says nothing


def test_a_pass_that_is_taken_back_takes_its_passages_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    days.play(0, range(16, 40), lost={18, 19})
    number = days.play(1, range(16, 40), lost={30, 31})
    assert days.due(2) == [range(30, 32), range(18, 20)] or days.due(2) == [range(18, 20), range(30, 32)]
    days.takes.take_back(number)
    assert days.due(1) == [range(18, 20)]


def test_a_bar_that_was_corrected_loses_its_passage_and_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One note of the file is changed; whatever else was lost comes back as before."""
    part = part_of(PIECE)
    played = [index for index, bar in enumerate(part.contents.bars) if bar][::4]
    days = Days(tmp_path / "h.sqlite", part, monkeypatch)
    days.play(0, range(len(PIECE.bars)), lost=played)
    document = ElementTree.parse(SAMPLE)
    octave = document.find(".//part/measure[@number='18']/note/pitch/octave")
    assert octave is not None
    octave.text = "2"
    path = tmp_path / "corrected.musicxml"
    document.write(path)
    corrected = part_of(read_score(path).piece)
    assert corrected.piece.digest != PIECE.digest
    assert [bar for bar, key in enumerate(part.keys) if key != corrected.keys[bar]] == [17]
    answered = days.history.answers(1).keys()
    assert {bar for bar in played if part.keys[bar] in answered} == set(played)
    assert {bar for bar in played if corrected.keys[bar] in answered} == {*played} - {17}
    assert 17 in played


def test_ten_minutes_hold_passages_first_and_questions_after_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    days = Days(tmp_path / "h.sqlite", part_of(PIECE), monkeypatch)
    fresh = first_day(days.part, FIRST, None)
    assert (fresh.passages, fresh.passage_minutes) == ((), 0)
    assert 0 < fresh.question_minutes <= 10
    assert planned_minutes(PIECE, 1, days.history) == 0
    begin(PIECE, 1, days.history)
    assert planned_minutes(PIECE, 1, days.history) == 10
    days.play(0, range(len(PIECE.bars)), lost={17, 21, 26, 31, 36, 41})
    day = days.whole(1)
    assert len(day.passages) == 4  # at most: two minutes each, two are left for questions
    assert day.passage_minutes + day.question_minutes <= 10
    assert len(day.questions) <= 6
    days.play(1, range(16, 30))
    later = days.whole(1)
    assert {passage.bars[0] for passage in later.passages} == {31, 36, 41}
    assert later.played == 3


def test_one_comes_in_at_the_landmark_before(make_piece: MakePiece) -> None:
    line = "|0123|1234|2345|3456|4567|5678|6789|5432|1234|"
    part = part_of(make_piece(line), phrases=[0, 4])
    (passage,) = part.passages([6])
    assert (passage.bars, passage.loop) == (range(6, 7), range(4, 8))
    assert passage_words(part.piece, passage) == "bar 7, come in at 5"
    assert passages_json([passage]) == [{"bar": 6, "last_bar": 6, "enter": 4, "leave": 7}]
    # The phrase's own beginning was lost: from two bars before it.
    (passage,) = part_of(make_piece(line), phrases=[5]).passages([5])
    assert passage.loop == range(3, 7)


def test_an_entry_that_was_lost_is_heard_coming(make_piece: MakePiece) -> None:
    part = part_of(make_piece("|0123|....|....|....|....|3456|4567|5678|", "|0.0.|" + "0.0.|" * 7))
    (passage,) = part.passages([5])
    assert passage.loop == range(3, 7)


def test_a_loop_has_strokes_enough_to_be_judged_and_keeps_out_of_repeats(make_piece: MakePiece) -> None:
    part = part_of(make_piece("|0...|" + "1...|" * 11))
    (passage,) = part.passages([5])
    strokes = sum(len(part.contents.bars[bar]) for bar in passage.loop)
    assert strokes == LEAST_STROKES
    again = make_piece("|0123|" + "1234|" * 7, playing_order=(0, 1, 2, 3, 2, 3, 4, 5, 6, 7))
    (passage,) = part_of(again).passages([4])
    assert passage.loop[0] == 4  # the bar before is followed by two
    assert [passage.bars for passage in part_of(again).passages([3, 4])] == [range(3, 4), range(4, 5)]


def test_bars_with_one_between_them_are_one_passage(make_piece: MakePiece) -> None:
    part = part_of(make_piece("|0123|" + "1234|" * 9))
    assert [passage.bars for passage in part.passages([7, 3, 1])] == [range(1, 4), range(7, 8)]


def test_bars_that_hold_the_same_have_keys_of_their_own(make_piece: MakePiece) -> None:
    part = part_of(make_piece("|0123|0123|0123|"))
    assert len(set(part.keys)) == 3
    labels = make_piece("|0123|0123|0123|")
    doubled = [bar.__class__(bar.index, "1", bar.start, bar.length, bar.meter) for bar in labels.bars]
    assert len(set(part_of(make_piece("|0123|0123|0123|", bars=tuple(doubled))).keys)) == 3
    assert Fraction(0) == part.contents.bars[0][0][0]

"""What is learnt from a recording: its tempo, two of them side by side, what was really done in a rehearsal."""

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from score.chunks.division import divide
from score.piece import Piece
from score.reading import read_score
from score.recording.bar_tempi import bar_tempi, machine_times
from score.recording.comparison import comparison_json, comparison_lines, differences
from score.recording.heard_bars import HeardBar, HeardRecording
from score.recording.recording_summary import recording_csv
from score.recording.rehearsal_protocol import protocol_of_recording
from score.recording.tempo_chart import tempo_chart
from score.time.pulse import tempo_map
from score.time.route import bars, whole

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"


@pytest.fixture(scope="module")
def study() -> Piece:
    return read_score(STUDY).piece


def _lengths(piece: Piece) -> list[float]:
    """Seconds of each bar at the written tempo."""
    times = tempo_map(piece)
    return [times.seconds(bar.start + bar.length) - times.seconds(bar.start) for bar in piece.bars]


def _heard(
    piece: Piece, shares: Sequence[float], order: Sequence[int] = (), waits: dict[int, float] | None = None
) -> HeardRecording:
    """A recording in which each bar goes at a share of the written tempo; seconds of something else before a visit."""
    lengths, played, now, turns, run = _lengths(piece), [], 5.0, dict.fromkeys(range(99), 0), 0
    for visit, bar in enumerate(order or range(len(piece.bars))):
        now += (waits or {}).get(visit, 0.0)
        run += visit in (waits or {})
        end = now + lengths[bar] / shares[bar]
        turns[bar] += 1
        played.append(HeardBar(bar, turns[bar], now, end=end, sure=1.0, doubt="", run=run))
        now = end
    return HeardRecording(now + 5, 0.0, tuple(played), onsets=())


def test_tempo_is_the_share_of_the_written_one_smoothed_over_three_bars(study: Piece) -> None:
    shares = 1 + 0.2 * np.sin(np.arange(16) / 2)
    tempi = bar_tempi(study, _heard(study, list(shares)))
    logs = np.log(shares)
    for bar in range(1, 14):
        smooth = np.exp((logs[bar - 1] + 2 * logs[bar] + logs[bar + 1]) / 4)
        assert tempi[bar].share == pytest.approx(smooth)
        assert tempi[bar].played == pytest.approx(92 * shares[bar], rel=1e-6)  # the score says 92
    # What was struck last rings on: nobody hears where its bar ends.
    assert tempi[15].share is None


def test_a_bar_in_doubt_has_no_tempo_nor_has_the_one_that_it_ends_and_neighbours_keep_theirs(study: Piece) -> None:
    heard = _heard(study, [1.0] * 16)
    odd = heard.bars[7]._replace(doubt="faint", end=heard.bars[7].start + 0.1)
    tempi = bar_tempi(study, heard._replace(bars=(*heard.bars[:7], odd, *heard.bars[8:])))
    assert [tempi[bar].share for bar in (6, 7)] == [None, None]
    assert [tempi[bar].share for bar in (5, 8)] == pytest.approx([1.0, 1.0])


def test_the_machine_goes_in_the_recordings_time_and_holds_where_it_held(study: Piece) -> None:
    shares = [0.9] * 16
    shares[7] = 0.45
    times = machine_times(study, _heard(study, shares), bars(study, range(6, 10)))
    lengths = _lengths(study)
    edges = [times.seconds(study.bars[bar].start - study.bars[6].start) for bar in range(6, 10)]
    assert np.diff(edges) == pytest.approx([lengths[bar] / shares[bar] for bar in range(6, 9)])
    (hold,) = times.holds
    assert hold.seconds == pytest.approx(lengths[7] / 0.45 - lengths[7] / 0.9)


def test_only_runs_of_bars_that_clearly_differ_are_called_different(study: Piece) -> None:
    first, second = [1.0] * 16, [1.0] * 16
    second[2] = 1.12  # one bar alone, smoothed to less
    second[8:12] = [1.1] * 4
    second[13:16] = [0.97] * 3
    (only,) = differences(study, _heard(study, first), _heard(study, second))
    assert only.first in (8, 7)
    assert only.last in (11, 12)
    assert only.percent == pytest.approx(9, abs=2)


def test_a_rehearsal_is_told_with_the_plan(study: Piece) -> None:
    order = [*range(8), *range(4), 2, 3, 4, 5, 6, 7]
    heard = _heard(study, [1.0] * 16, order, {8: 30.0, 12: 90.0})
    text = protocol_of_recording(study, heard, divide(study), {"A": 11, "A | B": 4, "B": 9}, ["bars 3-4: held back"])
    # Where the chunk ends it was not broken off.
    assert "- A (bars 1-8): planned 11 min, worked 3; once through, each bar 2.2 times; broke off in bar 4\n" in text
    assert "- B (planned 9 min)" in text
    assert "## Left open\n\n- bars 3-4: held back" in text
    assert "## Proposed" not in text
    assert "- join A | B (planned 4 min)" in text
    assert "bars 3 to 8" in text


def test_what_is_proposed_follows_from_the_last_times_through(study: Piece) -> None:
    shares, waits = [0.9] * 16, dict.fromkeys((4, 8, 16, 24), 10.0)
    broke_twice = [*range(4), *range(4), *range(8)]
    open_text = protocol_of_recording(study, _heard(study, shares, broke_twice, waits), divide(study), {})
    assert "- A: open; it broke off more than once in bar 4" in open_text
    then_through = [*broke_twice, *range(8)]
    text = protocol_of_recording(study, _heard(study, shares, then_through, waits), divide(study), {})
    assert "- A: under tempo? Played through twice without a break, at 90 % of the written tempo the last time" in text


def test_a_run_that_reaches_a_bar_too_far_touches_no_chunk(study: Piece) -> None:
    text = protocol_of_recording(study, _heard(study, [1.0] * 16, range(7, 16)), divide(study), {"A": 5})
    assert "- A (planned 5 min)" in text
    assert "Joins played across" not in text


def test_several_recordings_are_set_beside_one_each_by_its_name(study: Piece) -> None:
    others = {"old.flac": _heard(study, [0.8] * 8 + [1.0] * 8), "same.flac": _heard(study, [1.01] * 16)}
    first = _heard(study, [1.0] * 16)
    lines = comparison_lines(study, first, others)
    assert "old.flac, beside this one" in lines
    assert "same.flac goes as this one does" in lines
    old, same = comparison_json(study, first, others)
    assert same["different"] == []
    (slower,) = old["different"]
    assert slower["first"] == 0
    assert slower["last"] in (7, 8)
    table = list(csv.DictReader(recording_csv(study, first, others).splitlines()))
    # The score says 92.
    assert [float(table[0][name]) for name in ("tempo", "old.flac", "same.flac")] == pytest.approx(
        [92, 0.8 * 92, 1.01 * 92], abs=0.1
    )


def test_a_difference_that_changes_for_good_is_two(study: Piece) -> None:
    second = _heard(study, [0.9] * 8 + [0.7] * 8)
    changes = differences(study, _heard(study, [1.0] * 16), second)
    assert [round(each.percent / 10) for each in changes] == [-1, -3]


def test_the_chart_is_a_page_with_the_chunks_over_it(study: Piece) -> None:
    pdf = pypdfium2.PdfDocument(tempo_chart(study, _heard(study, [1.0] * 16), divide(study)))
    words = pdf[0].get_textpage().get_text_range()
    assert len(pdf) == 1
    assert all(word in words for word in ("Sixteen Paces", "A", "B", "100 %"))


def test_every_bar_of_the_piece_goes_at_the_tempo_around_it_where_it_was_not_played(study: Piece) -> None:
    heard = _heard(study, [0.8] * 16)
    times = machine_times(study, heard._replace(bars=heard.bars[:4]), whole(study))
    assert times.seconds(study.length) == pytest.approx(sum(_lengths(study)) / 0.8, rel=1e-6)

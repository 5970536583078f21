"""Judged passes in the history: they read back as they were judged, and a kill loses none that was said to be kept."""

import os
import random
import sqlite3
from fractions import Fraction
from pathlib import Path

import pytest

from score.errors import WritingError
from score.takes.history import History
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTakes, TakeOf
from score.time.route import Route, Visit
from tests.takes.test_history import kill_while_writing

STROKES = (
    JudgedStroke(8, Fraction(1, 3), StrokeState.EARLY, -31.5, 4.2, 4.2315, hand="L", level=0.5),
    JudgedStroke(8, Fraction(2), StrokeState.MISSED, expected=5.0, turn=2),
    JudgedStroke(9, Fraction(1, 24), StrokeState.EXTRA, seconds=5.4, level=0.2),
)
JUDGED = JudgedPass(
    STROKES,
    True,
    "",
    Delay(0.0375, DelayFrom.COUNT_IN, 11.5),
    mean_ms=-12.5,
    mean_ms_interval=(-18.0, -7.0),
    spread_ms=21.0,
    remarks=("the recording clips: turn the input down",),
    level=0.31,
)
NOT_JUDGED = JudgedPass((), False, "nothing was heard: turn the input up", Delay(0.0, DelayFrom.NOTHING))

WRITER = """
import sys
from fractions import Fraction
from pathlib import Path
from score.takes.history import History
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTakes, TakeOf
takes = KeptTakes(History(Path(sys.argv[1])))
number = int(sys.argv[2])
strokes = tuple(JudgedStroke(bar, Fraction(1, 3), StrokeState.LATE, 25.0, 1.0, 0.975) for bar in range(40))
while True:
    judged = JudgedPass(strokes, True, "", Delay(0.03, DelayFrom.CLOCK))
    what = TakeOf("piece", 1, range(number, number + 4), 1.0, "key", in_sight=False)
    takes.keep(what, judged, {f"bar {number}": False, f"bar {number + 1}": True})
    print(number, flush=True)  # confirmed: from here on it must not be lost
    number += 1
"""


def test_a_pass_reads_back_as_it_was_judged(tmp_path: Path) -> None:
    takes = KeptTakes(History(tmp_path / "h.sqlite"))
    upbeat = Visit(7, Fraction(5, 2), Fraction(3), offset=Fraction(0))
    bars = (Visit(bar, Fraction(0), Fraction(3), offset=Fraction(1, 2) + 3 * (bar - 8)) for bar in range(8, 16))
    route = Route((upbeat, *bars))
    what = TakeOf("d", 2, range(7, 16), 0.7, "sound", audio="pass.flac", route=route, in_sight=False)
    number = takes.keep(what, JUDGED)
    takes.keep(what._replace(bars=range(4), audio=""), NOT_JUDGED)
    first, second = KeptTakes(History(tmp_path / "h.sqlite")).of("d", 2)
    assert (first.number, first.what, first.judged) == (number, what, JUDGED)
    assert second.judged == NOT_JUDGED
    assert first.at <= second.at


def test_passes_are_chosen_by_piece_player_and_bars_and_can_be_taken_back(tmp_path: Path) -> None:
    takes = KeptTakes(History(tmp_path / "h.sqlite"))
    numbers = [takes.keep(TakeOf("d", 2, range(bar, bar + 4), 1.0, "key"), JUDGED) for bar in (0, 4, 8, 12)]
    takes.keep(TakeOf("d", 1, range(4), 1.0, "key"), JUDGED)
    takes.keep(TakeOf("other", 2, range(4), 1.0, "key"), JUDGED)
    assert [take.number for take in takes.of("d", 2, range(5, 9))] == numbers[1:3]
    assert [take.number for take in takes.of("d", 2, latest=2)] == numbers[2:]
    takes.take_back(numbers[1])
    assert [take.number for take in takes.of("d", 2, range(5, 9))] == numbers[2:3]


def test_a_sound_file_that_has_gone_leaves_its_pass(tmp_path: Path) -> None:
    takes = KeptTakes(History(tmp_path / "h.sqlite"))
    takes.keep(TakeOf("d", 2, range(4), 1.0, "sound", audio="pass.flac"), JUDGED)
    takes.forget_audio("pass.flac")
    assert [take.what.audio for take in takes.of("d", 2)] == [""]


def test_a_pass_that_cannot_be_kept_whole_is_not_kept_at_all(tmp_path: Path) -> None:
    history = History(tmp_path / "h.sqlite")
    takes = KeptTakes(history)
    impossible = JUDGED._replace(strokes=(*STROKES, STROKES[0]._replace(bar=None)))  # type: ignore[arg-type]
    with pytest.raises(WritingError, match=r"h\.sqlite"):
        takes.keep(TakeOf("d", 2, range(4), 1.0, "key"), impossible)
    assert history.rows("SELECT COUNT(*) FROM take") == [(0,)]
    assert history.rows("SELECT COUNT(*) FROM take_stroke") == [(0,)]


@pytest.mark.skipif(os.name == "nt", reason="kills with SIGKILL")
@pytest.mark.parametrize("kills", [12, pytest.param(500, marks=pytest.mark.campaign)])
def test_kills_lose_no_pass_and_leave_none_in_halves(tmp_path: Path, kills: int) -> None:
    """SIGKILL at random moments while passes of forty strokes are kept one after another."""
    path, confirmed, number = tmp_path / "h.sqlite", set[int](), 0
    History(path).close()
    moments = random.Random(2)
    for _ in range(kills):
        number = kill_while_writing(path, number, moments.uniform(0.0, 0.02), confirmed, WRITER)
    file = sqlite3.connect(path)
    counts = dict(
        file.execute("SELECT first, COUNT(number) FROM take LEFT JOIN take_stroke ON take = take.id GROUP BY take.id")
    )
    answers = dict(file.execute("SELECT first, COUNT(*) FROM take JOIN answer ON take = take.id GROUP BY take.id"))
    assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    file.close()
    assert answers == dict.fromkeys(counts, 2)
    assert confirmed <= counts.keys()
    assert len(confirmed) >= kills
    assert set(counts.values()) == {40}

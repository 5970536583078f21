"""Worker processes: the same parts however they start, and one line when something goes wrong in them."""

import multiprocessing
import operator
import os
import pickle
import signal
import subprocess
import sys
import time
from pathlib import Path

import music21
import pytest

from score.cues.sheet import Level
from score.errors import InbreathError, WritingError
from score.parts.engraved_score import score_of
from score.parts.engraving_processes import engravers
from score.parts.paper import PageOptions
from score.parts.part_jobs import FindNotes, Job
from score.parts.score_jobs import ScoreJob, ScoreOptions
from score.reading import read_score
from score.reading.reading_result import Reading

SCORE = Path(music21.__file__).parent / "corpus" / "mozart" / "k155" / "movement2.mxl"

# As the command, but with the way processes start set by hand.
COMMAND = """
import sys
import score.processes, score.parts.engraving_processes
score.processes.may_divide = score.parts.engraving_processes.may_divide = lambda: sys.argv[1] == "divide"
from tui.command import run
sys.exit(run(sys.argv[2:]))
"""


@pytest.fixture(scope="module")
def reading() -> Reading:
    return read_score(SCORE)


def job(reading: Reading, notes: FindNotes | None = None) -> Job:
    return Job(pickle.dumps(reading.piece), Level.USUAL, (), PageOptions(), notes=notes)


@pytest.mark.campaign
@pytest.mark.skipif(sys.platform != "linux", reason="processes divide on Linux only")
def test_parts_are_the_same_however_processes_start(tmp_path: Path) -> None:
    made = {}
    for way in ("divide", "begin anew"):
        folder = tmp_path / way
        command = [sys.executable, "-c", COMMAND, way, "parts", str(SCORE), "--out", str(folder)]
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        made[way] = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert len(made["divide"]) == 9
    assert made["divide"] == made["begin anew"]


def test_players_asked_for_later_are_begun_too(reading: Reading) -> None:
    with engravers() as workers:
        workers.begin(reading.outline, [2], Level.USUAL)
        workers.begin(reading.outline, [2, 3, 1], Level.USUAL)
        assert {made.sheet.player for made in workers.make(job(reading), [3, 1, 2])} == {1, 2, 3}


def test_the_score_for_all_is_engraved_beside_the_parts(reading: Reading) -> None:
    whole = ScoreJob(pickle.dumps(reading.piece), reading.source, ScoreOptions(), marks=())
    with engravers(score=True) as workers:
        workers.begin(reading.outline, [1], Level.USUAL)
        parts, printed = workers.make(job(reading), [1]), workers.print_score(whole)
        # Taken late: whoever asks has work of their own, and nobody waits for it with the next.
        assert printed.recv().pdf == score_of(whole).pdf
        workers.print_score(whole._replace(source=reading.source._replace(xml=b"<score-partwise/>")))
        refusal = printed.recv()
        assert isinstance(refusal, InbreathError)
        assert "refuses" in refusal.line
        assert [made.sheet.player for made in parts] == [1]


@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX here")
def test_a_worker_ended_from_outside_is_one_line(reading: Reading) -> None:
    with engravers() as workers:
        workers.begin(reading.outline, [], Level.USUAL)
        for process in multiprocessing.active_children():
            os.kill(process.pid or 0, signal.SIGKILL)
        with pytest.raises(WritingError, match="ended from outside"):
            list(workers.make(job(reading), [1, 2, 3, 4]))


def test_what_fails_in_a_worker_says_where(reading: Reading) -> None:
    with engravers() as workers:
        workers.begin(reading.outline, [1], Level.USUAL)
        with pytest.raises(TypeError) as caught:
            list(workers.make(job(reading, operator.itemgetter("no notes")), [1]))  # type: ignore[arg-type]
    assert "make_parts" in "".join(caught.value.__notes__)


def test_workers_end_with_the_context_in_the_middle_of_their_work(reading: Reading) -> None:
    with engravers() as workers:
        workers.begin(reading.outline, [], Level.USUAL)
        for _ in workers.make(job(reading), [1, 2, 3, 4]):
            break
    deadline = time.monotonic() + 5
    while multiprocessing.active_children() and time.monotonic() < deadline:
        time.sleep(0.01)
    assert not multiprocessing.active_children()

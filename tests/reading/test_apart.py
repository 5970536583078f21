"""music21 in a process of its own hears what it hears here, and is not missed when it is gone.

What it hears is checked against a second reader in test_against_partitura.py.
"""

import multiprocessing
import os
import pickle
import sys
from collections.abc import Iterator
from pathlib import Path

import music21
import pytest

from score import processes
from score.reading import read_score
from score.reading.hearing_process import hear_here, hearing_apart
from score.reading.note_kinds import Listen, NoteKind

CORPUS = Path(music21.__file__).parent / "corpus"
SCORE = CORPUS / "mozart" / "k155" / "movement2.mxl"


@pytest.fixture
def apart(monkeypatch: pytest.MonkeyPatch) -> Iterator[Listen]:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    # As on every system; where processes may divide, the tests of the command do it.
    monkeypatch.setattr(processes, "may_divide", lambda: False)
    context = hearing_apart()
    with pytest.MonkeyPatch.context() as unloaded:
        unloaded.delitem(sys.modules, "music21")
        listen = context.__enter__()
    assert listen is not hear_here
    yield listen
    context.__exit__(None, None, None)
    for process in multiprocessing.active_children():
        process.join(5)
    assert not multiprocessing.active_children()


def test_a_score_is_read_the_same_with_the_notes_heard_apart(apart: Listen) -> None:
    assert read_score(SCORE, listen=apart) == read_score(SCORE)


def test_more_kinds_than_the_pipe_holds_are_taken(apart: Listen) -> None:
    kinds: set[NoteKind] = set()
    read_score(SCORE, listen=lambda asked: hear_here(kinds.update(asked) or asked))  # type: ignore[func-returns-value]
    many = {
        kind._replace(semitones=semitones, dots=dots) for kind in kinds for semitones in range(12) for dots in (0, 1)
    }
    assert len(pickle.dumps(many)) > 80_000  # a pipe of Linux holds 64 KiB (pipe(7))
    assert apart(many)() == hear_here(many)()


def test_a_process_that_was_ended_from_outside_is_not_missed(apart: Listen) -> None:
    for process in multiprocessing.active_children():
        process.kill()
        process.join()
    assert read_score(SCORE, listen=apart) == read_score(SCORE)


def test_whoever_reads_hears_alone_where_music21_is_loaded() -> None:
    with hearing_apart() as listen:
        assert listen is hear_here
        assert not multiprocessing.active_children()

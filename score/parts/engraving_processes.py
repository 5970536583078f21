"""Worker processes that engrave: how they start, who of them is asked for which part, how they end.

This module is light, so that they can start before anything else is loaded.
"""

import multiprocessing
import os
import pickle
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, cast

from score.errors import WritingError
from score.parts.engraving_service import PartsRequest, UncuedRequest, serve_alone, serve_divided
from score.processes import Post, may_divide, new_process, start_held

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

    from score.cues.sheet import Level
    from score.parts.part_jobs import FinishedPart, Job
    from score.parts.score_jobs import ScoreJob
    from score.reading.reading_result import Outline

_PART = re.compile(rb"<part[\s>]")
_MOST = 6
"""Workers; more would only wait for each other's memory."""


class Engravers:
    """Worker processes that engrave, one a core, and one beside them for the score for all where it is asked for.

    They load the engraver and set out the parts while the notes are still being read. A part stays with the worker
    that began it.
    """

    def __init__(self, pipes: Sequence[Connection], apart: Connection | None = None) -> None:
        self._pipes, self._apart = pipes, apart
        self._begun: dict[int, Connection] = {}
        self._posts = {pipe: Post(pipe) for pipe in (*pipes, *([apart] if apart else []))}

    def begin(self, outline: "Outline", players: Sequence[int], level: "Level") -> None:
        """Set out the parts of these players (empty: all), but for those that were begun before."""
        wanted = players or tuple(number for number, _ in outline.players)
        numbers = [number for number in dict.fromkeys(wanted) if number not in self._begun]
        pickled = pickle.dumps(outline, pickle.HIGHEST_PROTOCOL) if numbers else b""
        for pipe, share in zip(self._pipes, _shares(outline, numbers, len(self._pipes)), strict=True):
            self._begun.update(dict.fromkeys(share, pipe))
            if share:
                self._posts[pipe](UncuedRequest(pickled, share, level))

    def make(self, job: "Job", players: Sequence[int]) -> "Iterator[FinishedPart]":
        """Have the parts of these players made, which were begun; they come as they are finished.

        Raises, where they are taken:
            WritingError: a worker process was ended from outside.
            InbreathError: a part cannot be made.
        """
        waiting: dict[Connection, int] = {}
        for pipe in dict.fromkeys(self._begun[number] for number in players):
            share = tuple(number for number in players if self._begun[number] is pipe)
            self._posts[pipe](PartsRequest(job, share, gives_way=self._apart is not None))
            waiting[pipe] = len(share)
        return _finished(waiting)

    def print_score(self, job: "ScoreJob") -> Connection:
        """Have the score for all engraved; its pages, or what went wrong, come from this pipe."""
        assert self._apart is not None, "no process was asked for that engraves it"
        self._posts[self._apart](job)
        return self._apart

    def close_pipes(self) -> None:
        """Close the pipes, by which the workers know that nobody asks any more."""
        for post in self._posts.values():
            post.close()


def _shares(outline: "Outline", players: Sequence[int], count: int) -> list[tuple[int, ...]]:
    """Who makes which parts, the longest dealt out first: about as much is written in each share as in any other."""
    text = outline.source.xml
    begins = [match.start() for match in _PART.finditer(text)]
    lengths = [end - begin for begin, end in pairwise([*begins, len(text)])]
    owned = dict(outline.players)
    size = {player: sum(lengths[part] for part in owned.get(player, ()) if part < len(lengths)) for player in players}
    shares: list[list[int]] = [[] for _ in range(count)]
    for player in sorted(players, key=lambda player: -size[player]):
        min(shares, key=lambda share: sum(size[each] for each in share)).append(player)
    return [tuple(sorted(share, key=players.index)) for share in shares]


def _finished(waiting: dict[Connection, int]) -> "Iterator[FinishedPart]":
    """So many parts from each pipe."""
    while waiting:
        for pipe in cast("list[Connection]", wait(list(waiting))):
            try:
                part: FinishedPart | Exception = pipe.recv()
            except (EOFError, OSError) as error:
                raise _ended() from error
            if isinstance(part, Exception):
                raise part
            yield part
            waiting[pipe] -= 1
            if not waiting[pipe]:
                del waiting[pipe]


@contextmanager
def engravers(also: Sequence[str] = (), *, score: bool = False) -> Iterator[Engravers]:
    """Worker processes that engrave; they end with the context, whatever they are doing.

    Processes, because engraving holds the interpreter's lock.

    Args:
        also: other modules the workers will need.
        score: also one that engraves the score for all: if it ends over it, the parts are made all the same.
    """
    count = min(os.cpu_count() or 1, _MOST)
    ends = [multiprocessing.Pipe() for _ in range(count + score)]
    ours, theirs = [end for end, _ in ends], [end for _, end in ends]
    processes = _processes(ours, theirs, also)
    try:
        _start(processes)
    finally:
        # Our own copies of the far ends must not keep the pipes open when a process dies.
        for end in theirs:
            end.close()
    workers = Engravers(ours[:count], *ours[count:])
    try:
        yield workers
    finally:
        for process in processes:
            process.terminate()
        workers.close_pipes()


def _processes(ours: list[Connection], theirs: list[Connection], also: Sequence[str]) -> "list[BaseProcess]":
    """What is to be started: one process that divides once it has loaded, where it can, else one for each pipe."""
    if may_divide():
        return [new_process(serve_divided, ours, theirs, also)]
    return [new_process(serve_alone, end, also) for end in theirs]


def _start(processes: "Sequence[BaseProcess]") -> None:
    try:
        for process in processes:
            start_held(process)
    except OSError as error:
        what = f"no worker process can be started ({error.strerror or error})"
        raise WritingError("Cannot engrave", what, "close other programs and try again") from error


def _ended() -> WritingError:
    return WritingError(
        "Engraving stopped", "a worker process was ended from outside", "free some memory and try again"
    )

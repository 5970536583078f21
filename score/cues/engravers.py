"""Worker processes that engrave: how they start, what they are asked, how they end.

This module is light, so that they can start before anything else is loaded.
"""

import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.context import BaseContext
from typing import TYPE_CHECKING, TypeVar

from score.errors import WritingError
from score.interrupts import interrupts_held

if TYPE_CHECKING:
    from score.cues.blank import Blank
    from score.cues.jobs import Job, Made
    from score.cues.sheet import Level
    from score.reading.result import Outline


_MOST = 61
"""Windows cannot wait for more processes at once."""


class Engravers:
    """Worker processes that engrave, one a core.

    They load the engraver and set out the parts while the notes are still being read.
    """

    def __init__(self, pool: ProcessPoolExecutor, aside: ThreadPoolExecutor) -> None:
        self.pool = pool
        self._aside = aside
        self._begun: dict[int, Future[Future[dict[int, Blank]]]] = {}

    def begin(self, outline: "Outline", players: Sequence[int], level: "Level") -> None:
        """Set out the parts of these players (empty: all) of a score that is still being read."""
        numbers = players or tuple(number for number, _ in outline.players)
        workers = min(os.cpu_count() or 1, len(numbers))
        # A first job waits until a worker has loaded; whoever reads the score must not.
        for share in (numbers[worker::workers] for worker in range(workers)):
            job = self._aside.submit(self.pool.submit, _set_out, outline, share, level)
            self._begun.update((number, job) for number in share)
        for _ in range(workers):
            self._aside.submit(self.pool.submit, _get_ready)

    def blank(self, player: int) -> "Blank":
        """A player's part that was begun.

        Raises:
            WritingError: a worker process was ended from outside.
        """
        try:
            job = self._begun[player].result()
        except (OSError, EOFError, BrokenProcessPool) as error:
            raise _ended() from error
        return outcome(job)[player]

    def make(self, job: "Job", player: int) -> "Future[Made]":
        """Give a player's part to a worker.

        Raises:
            WritingError: a worker process was ended from outside.
        """
        blank = self.blank(player)
        try:
            return self.pool.submit(_make_part, job, player, blank)
        except BrokenProcessPool as error:
            raise _ended() from error


@contextmanager
def engravers(also: Sequence[str] = ()) -> Iterator[Engravers]:
    """Worker processes that engrave.

    Processes, because engraving holds the interpreter's lock. They are never copies of this one, which may have
    threads: where the system can, they are copies of a server that holds nothing but the engraver.

    Args:
        also: other modules the workers will need.
    """
    pool = ProcessPoolExecutor(min(os.cpu_count() or 1, _MOST), _context(also), initializer=_settle_in)
    aside = ThreadPoolExecutor(1)
    try:
        yield Engravers(pool, aside)
    except BaseException:
        _end(pool, aside)
        raise
    aside.shutdown()
    pool.shutdown()


def _end(pool: ProcessPoolExecutor, aside: ThreadPoolExecutor) -> None:
    """End the workers whatever they are doing."""
    aside.shutdown(cancel_futures=True)
    # Asked for first: a pool that is shut down no longer knows its processes.
    processes = list((pool._processes or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for process in processes:
        process.terminate()


def _context(also: Sequence[str]) -> BaseContext:
    """How workers come about; the server, where there is one, begins to load the engraver at once."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    from multiprocessing import forkserver, resource_tracker

    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["score.cues.worker", *also])
    # First, because it lets interrupts through again once it runs.
    resource_tracker.ensure_running()
    with interrupts_held():
        forkserver.ensure_running()
    return context


_T = TypeVar("_T")


def outcome(job: "Future[_T]") -> _T:
    """What a worker made.

    Raises:
        WritingError: the worker was ended from outside.
    """
    try:
        return job.result()
    except BrokenProcessPool as error:
        raise _ended() from error


def _ended() -> WritingError:
    return WritingError(
        "Engraving stopped", "a worker process was ended from outside", "free some memory and try again"
    )


# What the workers run. The engraver is loaded in them and not here, where a score is read meanwhile.


def _settle_in() -> None:
    from score.cues.worker import settle_in

    settle_in()


def _set_out(outline: "Outline", numbers: Sequence[int], level: "Level") -> dict[int, "Blank"]:
    from score.cues.blank import blanks

    return blanks(outline, numbers, level)


def _get_ready() -> None:
    from score.cues.worker import get_ready

    get_ready()


def _make_part(job: "Job", player: int, blank: "Blank") -> "Made":
    from score.cues.worker import make_part

    return make_part(job, player, blank)

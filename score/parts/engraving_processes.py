"""Worker processes that engrave: how they start, what they are asked, how they end.

This module is light, so that they can start before anything else is loaded.
"""

import multiprocessing
import os
import pickle
import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from itertools import pairwise
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, NamedTuple, NoReturn, cast

from score.errors import WritingError
from score.processes import Post, interrupts_held, may_divide, new_process

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

    from score.cues.sheet import Level
    from score.parts.part_jobs import FinishedPart, Job
    from score.parts.score_jobs import ScoreJob
    from score.parts.uncued_part import UncuedPart
    from score.reading.reading_result import Outline

_PART = re.compile(rb"<part[\s>]")
_MOST = 6
"""Workers; more would only wait for each other's memory."""


class _SetOut(NamedTuple):
    """Set out the parts of these players; the outline of their score is pickled once for all workers."""

    outline: bytes
    players: tuple[int, ...]
    level: "Level"


class _Make(NamedTuple):
    """Make the parts of these players, which were set out."""

    job: "Job"
    players: tuple[int, ...]


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
                self._posts[pipe](_SetOut(pickled, share, level))

    def make(self, job: "Job", players: Sequence[int]) -> "Iterator[FinishedPart]":
        """Have the parts of these players made, which were begun; they come as they are finished.

        Raises, where they are taken:
            WritingError: a worker process was ended from outside.
            InbreathError: a part cannot be made.
        """
        waiting: dict[Connection, int] = {}
        for pipe in dict.fromkeys(self._begun[number] for number in players):
            share = tuple(number for number in players if self._begun[number] is pipe)
            self._posts[pipe](_Make(job, share))
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
    """Who makes which parts: as much is written in each share as in any other, as far as whole parts allow."""
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
        return [new_process(_divide, ours, theirs, also)]
    return [new_process(_serve_alone, end, also) for end in theirs]


def _start(processes: "Sequence[BaseProcess]") -> None:
    try:
        with interrupts_held():
            for process in processes:
                process.start()
    except OSError as error:
        what = f"no worker process can be started ({error.strerror or error})"
        raise WritingError("Cannot engrave", what, "close other programs and try again") from error


def _ended() -> WritingError:
    return WritingError(
        "Engraving stopped", "a worker process was ended from outside", "free some memory and try again"
    )


# What the workers run. The engraver is loaded in them and not here, where a score is read meanwhile.


def _divide(ours: list[Connection], theirs: list[Connection], also: Sequence[str]) -> None:
    """Load everything, then go on as one process for each pipe."""
    for end in ours:
        end.close()
    _load(also)
    for end in theirs[1:]:
        # Where there is no room for another process, its pipe closes, and whoever waits for it says so.
        with suppress(OSError):
            if os.fork() == 0:
                _serve_only(end, theirs)
        end.close()
    _serve(theirs[0])


def _serve_only(pipe: Connection, pipes: Sequence[Connection]) -> NoReturn:
    for other in pipes:
        if other is not pipe:
            other.close()
    _serve(pipe)
    os._exit(0)


def _serve_alone(pipe: Connection, also: Sequence[str]) -> None:
    _load(also)
    _serve(pipe)


def _load(also: Sequence[str]) -> None:
    import signal
    from importlib import import_module

    # The parent answers Ctrl-C; it is held here already, but not on every system.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # What cannot be loaded is said when it is needed.
    with suppress(Exception):
        from score.parts.engraving_worker import lower_priority

        lower_priority()
        for module in also:
            import_module(module)


def _serve(pipe: Connection) -> None:
    """Take messages until nobody is left to send them."""
    _watch_parent()
    if not pipe.poll():
        # While the score is being read.
        _warm_up()
    uncued: dict[int, UncuedPart | Exception] = {}
    # What is asked for may be taken late: who asked has work of their own.
    answer = Post(pipe)
    with suppress(EOFError, OSError):
        while True:
            match pipe.recv():
                case _SetOut() as request:
                    uncued |= _set_out(request)
                case _Make() as request:
                    for part in _make(request, uncued):
                        answer(part)
                case job:
                    answer(_printed(job))


def _watch_parent() -> None:
    """Go when the parent is gone, however it went."""
    parent = multiprocessing.parent_process()

    def go_with(parent: "BaseProcess") -> None:
        parent.join()
        os._exit(1)

    if parent is not None:
        threading.Thread(target=go_with, args=(parent,), daemon=True).start()


def _set_out(request: _SetOut) -> "dict[int, UncuedPart | Exception]":
    try:
        from score.parts.uncued_part import uncued_parts

        return dict(uncued_parts(pickle.loads(request.outline), request.players, request.level))
    except Exception as error:
        return dict.fromkeys(request.players, _sendable(error))


def _warm_up() -> None:
    with suppress(Exception):  # it is said when a part is made
        from score.parts.engraving_worker import warm_up

        warm_up()


def _make(request: _Make, uncued: "dict[int, UncuedPart | Exception]") -> "Iterator[FinishedPart | Exception]":
    try:
        from score.parts.engraving_worker import make_parts

        yield from make_parts(request.job, {number: uncued[number] for number in request.players})
    except Exception as error:
        yield _sendable(error)


def _printed(job: "ScoreJob") -> object:
    """The pages of the score for all, or what went wrong."""
    try:
        from score.parts.engraved_score import score_of

        return score_of(job)
    except Exception as error:
        return _sendable(error)


def _sendable(error: Exception) -> Exception:
    """The error with where it happened, as far as it can travel."""
    import traceback

    where = traceback.format_exc()
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:
        error = RuntimeError(repr(error))
    error.add_note(where)
    return error

"""What a worker process that engraves runs: it loads the engraver, answers whatever comes through its pipe, and goes.

This module is light too: the engraver is loaded in the workers and not where they start, for a score is read there
meanwhile.
"""

import os
import pickle
from collections.abc import Iterator, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from score.processes import Post, end_with_parent

if TYPE_CHECKING:
    from score.cues.sheet import Level
    from score.parts.part_jobs import FinishedPart, Job
    from score.parts.score_jobs import ScoreJob
    from score.parts.uncued_part import UncuedPart


class UncuedRequest(NamedTuple):
    """The parts of these players are to be set out; the outline of their score is pickled once for all workers."""

    outline: bytes
    players: tuple[int, ...]
    level: "Level"


class PartsRequest(NamedTuple):
    """The parts of these players, which were set out, are to be made.

    Attributes:
        job: what is the same for all parts.
        players: their numbers.
        gives_way: the score for all is engraved beside them.
    """

    job: "Job"
    players: tuple[int, ...]
    gives_way: bool = False


def serve_divided(ours: list[Connection], theirs: list[Connection], also: Sequence[str]) -> None:
    """Load everything, then go on as one process for each pipe.

    Args:
        ours: the asking ends of the pipes, copies that came along and are closed.
        theirs: the answering ends.
        also: other modules to load.
    """
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


def serve_alone(pipe: Connection, also: Sequence[str]) -> None:
    """Load everything and answer one pipe, where a process cannot divide.

    Args:
        pipe: its answering end.
        also: other modules to load.
    """
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
    end_with_parent()
    if not pipe.poll():
        # While the score is being read.
        _warm_up()
    uncued: dict[int, UncuedPart | Exception] = {}
    # What is asked for may be taken late: who asked has work of their own.
    answer = Post(pipe)
    with suppress(EOFError, OSError):
        while True:
            match pipe.recv():
                case UncuedRequest() as request:
                    uncued |= _set_out(request)
                case PartsRequest() as request:
                    for part in _make(request, uncued):
                        answer(part)
                case job:
                    answer(_printed(job))


def _set_out(request: UncuedRequest) -> "dict[int, UncuedPart | Exception]":
    try:
        from score.parts.uncued_part import uncued_parts

        return dict(uncued_parts(pickle.loads(request.outline), request.players, request.level))
    except Exception as error:
        return dict.fromkeys(request.players, _sendable(error))


def _warm_up() -> None:
    with suppress(Exception):  # it is said when a part is made
        from score.parts.engraving_worker import warm_up

        warm_up()


def _make(request: PartsRequest, uncued: "dict[int, UncuedPart | Exception]") -> "Iterator[FinishedPart | Exception]":
    try:
        from score.parts.engraving_worker import lower_priority, make_parts

        if request.gives_way:
            # One process alone has the whole score to do: it is done first, or all would wait for it at the end.
            lower_priority()
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

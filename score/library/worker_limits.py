"""Limits of time and memory for one piece of work, kept inside the process that does it.

When the time is over an exception is raised in the thread that works; where it does not come through, because a library
never returns to Python, the process ends itself a little later. Memory is limited where the system counts the addresses
of a process (Linux); elsewhere the system itself is the limit.
"""

import ctypes
import faulthandler
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import IO

GRACE_SECONDS = 5.0
"""Between the exception and the end of the process, at the most; never longer than the time that was given."""
_ONE_AT_A_TIME = threading.Lock()
_SETTLE_SECONDS = 1.0


class TooLongError(BaseException):
    """The time is over; no `except Exception` on the way catches it."""


@contextmanager
def limited(seconds: float, megabytes: int) -> Iterator[None]:
    """Work for so long and with so much memory at the most; one such work at a time in a process.

    Args:
        seconds: of the wall clock.
        megabytes: of memory beyond what the process has now.

    Raises:
        TooLongError: the time is over.
        MemoryError: the memory is.
    """
    with _ONE_AT_A_TIME, _silence() as nowhere:
        watch = _Watch(seconds)
        faulthandler.dump_traceback_later(seconds + min(seconds, GRACE_SECONDS), exit=True, file=nowhere)
        try:
            with _memory(megabytes):
                watch.begin()
                yield
        finally:
            watch.end()
            faulthandler.cancel_dump_traceback_later()


@contextmanager
def _silence() -> Iterator[IO[str]]:
    """Where the traceback of an ended process goes."""
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123
        yield nowhere


class _Watch:
    """Raises in this thread when its time is over."""

    def __init__(self, seconds: float) -> None:
        self._thread = threading.get_ident()
        self._turn, self._is_over, self._raised = threading.Lock(), False, threading.Event()
        self._timer = threading.Timer(seconds, self._raise)
        self._timer.daemon = True

    def begin(self) -> None:
        self._timer.start()

    def end(self) -> None:
        """Nothing is raised any more once this has returned."""
        with self._turn:
            self._is_over = True
        self._timer.cancel()
        if self._raised.is_set():
            # Raised but perhaps not arrived: it arrives in here.
            with suppress(TooLongError):
                threading.Event().wait(_SETTLE_SECONDS if sys.exc_info()[0] is None else 0.0)

    def _raise(self) -> None:
        with self._turn:
            if not self._is_over:
                self._raised.set()
                ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(self._thread), ctypes.py_object(TooLongError))


@contextmanager
def _memory(megabytes: int) -> Iterator[None]:
    taken = _taken()
    if not taken:
        yield
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = taken + megabytes * 2**20
    if hard != resource.RLIM_INFINITY:
        most = min(most, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _taken() -> int:
    """Bytes of addresses the process has; 0 where nobody counts."""
    try:
        with open("/proc/self/statm", "rb") as counts:  # noqa: PTH123
            return int(counts.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError):
        return 0

"""Processes of our own: how they start, that Ctrl-C is not for them, and what goes to and fro.

And standard error, which they share with the screen: libraries write to it by themselves.
"""

import multiprocessing
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess


def may_divide() -> bool:
    """Whether this process can go on as two, which saves the second from loading Python again.

    On Linux, and while nothing but this thread runs: a copy would inherit the locks of others, and elsewhere system
    libraries have some of their own.
    """
    try:
        return sys.platform == "linux" and len(os.listdir("/proc/self/task")) == 1  # noqa: PTH208
    except OSError:
        return False


def new_process(target: Callable[..., None], *arguments: object) -> BaseProcess:
    """A process that runs a function of a module; it ends with this one and is not yet started."""
    if may_divide():
        return multiprocessing.get_context("fork").Process(target=target, args=arguments, daemon=True)
    return multiprocessing.get_context("spawn").Process(target=target, args=arguments, daemon=True)


def reckon_on_one_core() -> None:
    """Libraries of numbers that load from now on take one core.

    In the small pieces we give them a second one mostly waits, and waits awake: listening to a recording took twice the
    processor's time, to the same answer.
    """
    for name in ("OPENBLAS_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"):
        os.environ.setdefault(name, "1")


def end_with_parent() -> None:
    """From now on this process goes when the one that started it is gone, however it went and whatever is at work."""
    parent = multiprocessing.parent_process()

    def go_with(parent: BaseProcess) -> None:
        parent.join()
        os._exit(1)

    if parent is not None:
        threading.Thread(target=go_with, args=(parent,), daemon=True).start()


class Post:
    """Sends into a pipe in turn, and beside everything else: who loads or draws meanwhile takes nothing yet."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._last: threading.Thread | None = None

    def __call__(self, message: object) -> None:
        """Send this after what was sent before."""
        before, pickled = self._last, pickle.dumps(message, pickle.HIGHEST_PROTOCOL)

        def send() -> None:
            if before is not None:
                before.join()
            # That the other end is gone shows when something is waited for from it. A pipe that was closed in the
            # middle of a message has no handle left, which is a TypeError.
            with suppress(OSError, ValueError, TypeError):
                self._pipe.send_bytes(pickled)

        self._last = threading.Thread(target=send, daemon=True)
        self._last.start()

    def close(self) -> None:
        """Close the pipe when what was sent is through; what takes over a second is left to end with its reader."""
        if self._last is not None and self._last.is_alive():
            self._last.join(1)
        if self._last is None or not self._last.is_alive():
            self._pipe.close()


@contextmanager
def interrupts_held() -> Iterator[None]:
    """What is started inside never sees Ctrl-C, not even while it loads: its parent ends it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def start_held(process: BaseProcess) -> None:
    """Start a process that never sees Ctrl-C, not even while it loads: its parent ends it."""
    if os.name == "posix" and isinstance(process, multiprocessing.get_context("spawn").Process):
        # Python starts a helper before the first such process, and lets Ctrl-C through again when that is done.
        from multiprocessing import resource_tracker

        resource_tracker.ensure_running()
    with interrupts_held():
        process.start()


@contextmanager
def started_from_screens() -> Iterator[None]:
    """What is started inside finds a standard error with a descriptor, where a screen has put something else there."""
    shown = sys.stderr
    with suppress(AttributeError, OSError, ValueError):
        if shown.fileno() < 0 and sys.__stderr__ is not None:
            sys.stderr = sys.__stderr__
    try:
        yield
    finally:
        sys.stderr = shown


@contextmanager
def own_stderr() -> Iterator[None]:
    """Python's standard error on a descriptor of its own, and descriptor 2, which libraries write to, on nothing.

    A screen is drawn through standard error: nothing of a library's stands in it, and nothing of it is lost where
    descriptor 2 is silenced for a while.
    """
    before = sys.stderr, sys.__stderr__
    try:
        kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    except OSError:
        yield
        return
    with open(kept, "w", encoding=getattr(before[0], "encoding", None), errors="backslashreplace") as own:  # noqa: PTH123
        vars(sys).update(stderr=own, __stderr__=own)
        os.dup2(nowhere, 2)
        os.close(nowhere)
        try:
            yield
        finally:
            own.flush()
            os.dup2(kept, 2)
            vars(sys).update(stderr=before[0], __stderr__=before[1])


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Libraries of devices and decoders write dozens of lines to file descriptor 2 by themselves; nobody reads them."""
    try:
        kept = os.dup(2)
    except OSError:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def silence_stderr() -> None:
    """Device libraries write to the terminal's stderr by themselves; on a screen that would be dirt."""
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 2)
        os.close(nowhere)

"""Starting processes of our own: how they come about, and that Ctrl-C is not for them."""

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
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

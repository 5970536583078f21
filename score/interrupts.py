"""Ctrl-C and the processes we start: they never see it, their parent ends them."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def interrupts_held() -> Iterator[None]:
    """What is started inside never sees Ctrl-C, not even while it loads."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

"""Processor seconds of a piece of work: other programs do not count."""

import time
from collections.abc import Callable


def cpu_seconds(work: Callable[[], object]) -> float:
    """What it takes of this process's own time."""
    start = time.process_time()
    work()
    return time.process_time() - start

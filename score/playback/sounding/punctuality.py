"""To strike on the moment while other programs keep the machine busy.

Where the system grants it (on Linux with a right to real-time scheduling), the thread that strikes goes before every
ordinary one. Where it does not, the last part of each wait is spent awake: who sleeps is woken late on a busy machine,
who is awake is seldom put off. Sixteenths at 120 keep a core awake for about one and a half per cent that way.
"""

import contextlib
import gc
import os
import sys
import time

NEAR = 0.002
"""Seconds before a moment from which nothing else is waited for."""
_AWAKE = 0.0015
"""Seconds before a moment that are spent awake; a nap ends up to half a millisecond late on a busy machine."""
_NAP = 0.0002


def take_precedence() -> bool:
    """Put the calling thread before ordinary ones, in a process that is there to be on time; whether that was granted.

    Nothing is collected while it plays: what the clockwork makes holds no circles.
    """
    gc.freeze()
    gc.disable()
    return go_first()


def go_first() -> bool:
    """Put the calling thread before ordinary ones; whether the system granted it."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            # The lowest real-time priority, for this thread alone: before a busy screen, behind what the system needs.
            os.sched_setscheduler(0, os.SCHED_RR | os.SCHED_RESET_ON_FORK, os.sched_param(1))
            return True
    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(-10)
    return False


def await_moment(moment: float) -> None:
    """Come back at a moment of `time.perf_counter`, or at once when it is more than `NEAR` away or over."""
    left = moment - time.perf_counter()
    while 0.0 < left <= NEAR:
        if left > _AWAKE:
            time.sleep(min(_NAP, left - _AWAKE))
        left = moment - time.perf_counter()

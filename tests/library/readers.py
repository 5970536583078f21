"""Reading functions for tests: what is done with a work, by its name, in whatever process."""

import os
import signal
import time

from score.library.score_work import ScoreLine, ScoreWork
from score.library.worker_limits import limited


def mark(work: ScoreWork) -> ScoreLine:
    """A line that says which process read it."""
    time.sleep(0.02)
    return ScoreLine(work.path, None, refused=str(os.getpid()))


def deadly(work: ScoreWork) -> ScoreLine:
    """Like `mark`; a work called so ends its process at once."""
    if "killer" in work.path:
        os.kill(os.getpid(), signal.SIGKILL)
    return mark(work)


def hit_once(work: ScoreWork) -> ScoreLine:
    """Like `mark`; the first process that comes to a work called so is killed from outside, the next one is not."""
    if "hit" in work.path:
        flag = work.content.decode()
        try:
            os.close(os.open(flag, os.O_CREAT | os.O_EXCL))
        except FileExistsError:
            return mark(work)
        os.kill(os.getpid(), signal.SIGKILL)
    return mark(work)


def endless(work: ScoreWork) -> ScoreLine:
    """Like `mark`; a work called so never ends, within its limits."""
    if "endless" in work.path:
        with limited(work.limits.seconds, work.limits.megabytes):
            # Sleeping stands for a library that does not come back: no exception reaches it.
            time.sleep(60)
    return mark(work)

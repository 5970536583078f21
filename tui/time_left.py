"""How long a long work will still take, said with its progress."""

import sys
import time

from score.progress import ReportProgress

_LEAST_SHARE = 0.05
_LEAST_SECONDS = 1.5


class TimeLeft:
    """Progress that says the time left, as soon as it can be told.

    Args:
        progress: told the step with the time left, and the share.
        is_live: whether a new text takes the place of the one before; asked of standard error where None.
    """

    def __init__(self, progress: ReportProgress, is_live: bool | None = None) -> None:
        self._progress = progress
        # Into a file or pipe every new text would be a line of its own.
        self._live = sys.stderr.isatty() if is_live is None else is_live
        self._step = ""
        self._began = 0.0

    def __call__(self, step: str, done: float) -> None:
        """Report a step and its share, as a `ReportProgress`."""
        now = time.monotonic()
        if step != self._step:
            self._step, self._began = step, now
        self._progress(self._words(step, done, now - self._began) if self._live else step, done)

    @staticmethod
    def _words(step: str, done: float, taken: float) -> str:
        if done < _LEAST_SHARE or taken < _LEAST_SECONDS or done >= 1:
            return step
        left = taken * (1 - done) / done
        return f"{step}, {left:.0f} s left" if left < 90 else f"{step}, {left / 60:.0f} min left"

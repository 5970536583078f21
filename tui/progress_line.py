"""Progress of long work on stderr: one line that renews itself on a terminal, plain lines elsewhere."""

import shutil
import sys
import time
from collections.abc import Callable


class Progress:
    """Says what is being done and how far it is.

    On a terminal one line is rewritten; into a file or pipe each new step is a line of its own, without
    percentages, so that logs stay short. Use as a context manager: the line is cleared at the end.
    """

    def __init__(self) -> None:
        self._live = sys.stderr.isatty()
        self._step = ""
        self._shown_at = 0.0

    def __call__(self, step: str, done: float) -> None:
        """Report a step ("reading") and the share of it that is done, from 0 to 1."""
        if not self._live:
            if step != self._step:
                print(f"{step} ...", file=sys.stderr, flush=True)
        elif step != self._step or done >= 1 or time.monotonic() - self._shown_at > 0.1:
            self._draw(step, done)
        self._step = step

    def __enter__(self) -> "Progress":
        return self

    def __exit__(self, *_: object) -> None:
        if self._live and self._step:
            print("\r" + " " * (self._width() - 1) + "\r", end="", file=sys.stderr, flush=True)

    def _draw(self, step: str, done: float) -> None:
        line = f"{step} {round(100 * done)} %"[: self._width() - 1]
        print("\r" + line.ljust(self._width() - 1), end="", file=sys.stderr, flush=True)
        self._shown_at = time.monotonic()

    @staticmethod
    def _width() -> int:
        return shutil.get_terminal_size().columns


class CountedProgress:
    """Progress of many alike things: how many of them, how many a second, how long it will take.

    On a terminal one line is rewritten; elsewhere every tenth of them is a line of its own. Use as a context manager.

    Args:
        what: they are, in the plural.
        clock: seconds, going forward.
    """

    def __init__(self, what: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._what, self._clock = what, clock
        self._live, self._began, self._shown_at, self._said = sys.stderr.isatty(), 0.0, float("-inf"), -1
        self.line = ""

    def __call__(self, done: int, total: int) -> None:
        """So many of so many are done."""
        now = self._clock()
        if not done:
            self._began = now
        self.line = counted_line(self._what, done, total, now - self._began)
        if self._live:
            if done == total or now - self._shown_at > 0.1:
                width = shutil.get_terminal_size().columns - 1
                print("\r" + self.line[:width].ljust(width), end="", file=sys.stderr, flush=True)
                self._shown_at = now
        elif done * 10 // max(1, total) != self._said:
            self._said = done * 10 // max(1, total)
            print(self.line, file=sys.stderr, flush=True)

    def __enter__(self) -> "CountedProgress":
        return self

    def __exit__(self, *_: object) -> None:
        if self._live and self.line:
            width = shutil.get_terminal_size().columns - 1
            print("\r" + " " * width + "\r", end="", file=sys.stderr, flush=True)


def counted_line(what: str, done: int, total: int, seconds: float) -> str:
    """How far it is: "37 of 120 scores, 1.4 a second, 1 min left".

    Args:
        what: they are, in the plural.
        done: how many are done.
        total: of how many.
        seconds: they have taken.
    """
    line = f"{done} of {total} {what}"
    if not done or seconds <= 0 or done == total:
        return line
    rate, left = done / seconds, (total - done) * seconds / done
    speed = f"{rate:.1f} a second" if rate >= 1 else f"{60 * rate:.0f} a minute"
    return f"{line}, {speed}, {f'{left / 60:.0f} min' if left >= 90 else f'{left:.0f} s'} left"

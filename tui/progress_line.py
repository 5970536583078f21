"""Progress of long work on stderr: one line that renews itself on a terminal, plain lines elsewhere."""

import shutil
import sys
import time


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

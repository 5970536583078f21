"""Whether the terminal can show pictures in its cells: asked once, before the screen, and never waited for long.

A terminal may know pictures and not the cells that show them; it says nothing of that. But it moves the cursor past a
picture that it shows at once, and leaves it where it was when the picture is to be shown by cells. So the cursor's
place is asked before and after an invisible picture of one pixel.
"""

import contextlib
import os
import re
import select
import sys
import time
from types import ModuleType
from typing import Any, NamedTuple

_IMAGE = 61
_ASK = (
    "\x1b[6n"
    f"\x1b_Ga=T,U=1,f=32,t=d,s=1,v=1,c=2,r=1,i={_IMAGE};AAAAAA==\x1b\\"
    "\x1b[6n"
    f"\x1b_Ga=d,d=I,q=2,i={_IMAGE}\x1b\\"
    "\x1b[16t"
    "\x1b[c"
    # Where a terminal prints what it does not know, it goes.
    "\r\x1b[K"
)
"""Cursor, picture, cursor, the picture away, a cell's size, and last what every terminal answers."""
_CURSOR, _TAKEN = re.compile(rb"\x1b\[(\d+;\d+)R"), re.compile(rb"\x1b_Gi=%d;OK\x1b\\" % _IMAGE)
_CELL, _LAST = re.compile(rb"\x1b\[6;(\d+);(\d+)t"), re.compile(rb"\x1b\[\?[\d;]*c")


class CellSize(NamedTuple):
    """Width and height of a cell, pixels."""

    width: int
    height: int


class TerminalQuestion:
    """A question the terminal was asked; its answer may take until other things have been loaded.

    Args:
        source, target: file descriptors of the terminal, to read from and to write to.
    """

    def __init__(self, source: int, target: int) -> None:
        import termios
        import tty

        self._terminal: ModuleType = termios
        self._source, self._target = source, target
        self._before: list[Any] = termios.tcgetattr(source)
        # Else the answer is written on the screen and waits for a line's end.
        tty.setcbreak(source, termios.TCSANOW)
        os.write(target, _ASK.encode("ascii"))

    def answer(self, seconds: float = 0.2) -> CellSize | None:
        """A cell's size where pictures can be shown in cells, else None; the terminal is as it was before.

        Args:
            seconds: to wait at most.
        """
        try:
            heard = self._heard(seconds)
            if not _LAST.search(heard):
                # What comes late must not be taken for keys.
                self._terminal.tcflush(self._source, self._terminal.TCIFLUSH)
            return _understood(heard, _pixels(self._target))
        finally:
            self.put_back()

    def put_back(self) -> None:
        """The terminal as it was before it was asked."""
        with contextlib.suppress(self._terminal.error):
            self._terminal.tcsetattr(self._source, self._terminal.TCSANOW, self._before)

    def _heard(self, seconds: float) -> bytes:
        heard, end = b"", time.monotonic() + seconds
        while not _LAST.search(heard):
            ready, _, _ = select.select([self._source], [], [], max(0.0, end - time.monotonic()))
            if not ready:
                break
            heard += os.read(self._source, 1024)
        return heard


def ask() -> TerminalQuestion | None:
    """Ask the terminal we run in; None where there is none, or where the system has no way to ask."""
    with contextlib.suppress(ImportError, OSError, ValueError, AttributeError):
        source, target = sys.__stdin__, sys.__stderr__
        if source is not None and target is not None and source.isatty() and target.isatty():
            target.flush()
            return TerminalQuestion(source.fileno(), target.fileno())
    return None


def cell_size(usual: CellSize) -> CellSize:
    """A cell's size as the system knows it now (letters may have been made larger), else the usual one."""
    target = sys.__stderr__
    size = _pixels(target.fileno()) if target is not None and target.isatty() else None
    return size or usual


def _understood(heard: bytes, pixels: CellSize | None) -> CellSize | None:
    cursor = _CURSOR.findall(heard)
    if not _TAKEN.search(heard) or len(cursor) != 2 or cursor[0] != cursor[1]:
        return None
    cell = _CELL.search(heard)
    size = CellSize(int(cell[2]), int(cell[1])) if cell else pixels
    return size if size is not None and min(size) > 1 else None


def _pixels(descriptor: int) -> CellSize | None:
    """A cell's size from what the system says of the window; None where it does not know."""
    try:
        import fcntl
        import struct
        import termios

        answer = fcntl.ioctl(descriptor, termios.TIOCGWINSZ, bytes(8))
        rows, columns, width, height = struct.unpack("HHHH", answer)
    except (ImportError, OSError):
        return None
    return CellSize(width // columns, height // rows) if min(rows, columns, width, height) > 0 else None

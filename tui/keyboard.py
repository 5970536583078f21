"""Single keys in a plain terminal, without Enter, on POSIX and Windows."""

import sys
from typing import Any


class Keyboard:
    """Reads keys without waiting; use as a context manager, the terminal is put back at the end.

    Where stdin is no terminal there are no keys.
    """

    def __init__(self) -> None:
        self._before: Any = None
        self._is_terminal = sys.stdin is not None and sys.stdin.isatty()

    def __enter__(self) -> "Keyboard":
        if self._is_terminal and sys.platform != "win32":
            import termios
            import tty

            self._before = termios.tcgetattr(sys.stdin)
            tty.setcbreak(sys.stdin)
        return self

    def __exit__(self, *_: object) -> None:
        if self._before is not None and sys.platform != "win32":
            import termios

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self._before)

    def key(self) -> str:
        """The key pressed since the last call, "" when none was."""
        if not self._is_terminal:
            return ""
        if sys.platform == "win32":
            import msvcrt

            return msvcrt.getwch() if msvcrt.kbhit() else ""
        import select

        ready, _, _ = select.select([sys.stdin], [], [], 0)
        return sys.stdin.read(1) if ready else ""

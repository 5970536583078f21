"""The question whether pictures can be shown, put to terminals of several kinds over a pseudo-terminal."""

import os
import select
import struct
import threading
from collections.abc import Callable, Iterator

import pytest

from tui.settings import Settings
from tui.start import may_show_pictures
from tui.terminal_pictures import CellSize, TerminalQuestion

pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

WHO = b"\x1b[?62;4c"
TAKEN = b"\x1b_Gi=61;OK\x1b\\"
CELL = b"\x1b[6;36;18t"


class Answering:
    """A terminal that reads what it is asked and answers once it was asked who it is."""

    def __init__(self, answer: bytes, pixels: tuple[int, int] = (0, 0)) -> None:
        import fcntl

        self.master, self.slave = pty.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, *pixels))
        self.before = termios.tcgetattr(self.slave)
        self.heard = b""
        self._thread = threading.Thread(target=self._serve, args=(answer,), daemon=True)
        self._thread.start()

    def _serve(self, answer: bytes) -> None:
        while b"\x1b[c" not in self.heard:
            ready, _, _ = select.select([self.master], [], [], 5)
            if not ready:
                return
            self.heard += os.read(self.master, 4096)
        os.write(self.master, answer)

    def asked(self, seconds: float = 5.0) -> CellSize | None:
        answer = TerminalQuestion(self.slave, self.slave).answer(seconds)
        self._thread.join(5)
        assert termios.tcgetattr(self.slave) == self.before
        return answer

    def close(self) -> None:
        os.close(self.master)
        os.close(self.slave)


@pytest.fixture
def terminal() -> Iterator[Callable[..., Answering]]:
    started: list[Answering] = []

    def start(answer: bytes, pixels: tuple[int, int] = (0, 0)) -> Answering:
        started.append(Answering(answer, pixels))
        return started[-1]

    yield start
    for each in started:
        each.close()


def test_a_terminal_with_pictures_in_cells_says_how_large_a_cell_is(terminal) -> None:
    here = terminal(b"\x1b[3;1R" + TAKEN + b"\x1b[3;1R" + CELL + WHO)
    assert here.asked() == CellSize(18, 36)
    # The picture it was tried with is gone, and so is whatever the line held.
    assert b"a=d,d=I" in here.heard
    assert here.heard.endswith(b"\r\x1b[K")


def test_a_cell_is_known_from_the_window_where_the_terminal_does_not_say(terminal) -> None:
    answer = b"\x1b[3;1R" + TAKEN + b"\x1b[3;1R" + WHO
    assert terminal(answer, (80 * 9, 24 * 18)).asked() == CellSize(9, 18)
    assert terminal(answer).asked() is None


def test_pictures_that_no_cells_can_show_are_not_used(terminal) -> None:
    # It shows the picture at once, and its cursor moves.
    assert terminal(b"\x1b[3;1R" + TAKEN + b"\x1b[3;3R" + CELL + WHO).asked() is None


@pytest.mark.parametrize(
    "answer",
    [
        b"\x1b[3;1R\x1b[3;1R" + WHO,
        b"\x1b[3;1R\x1b_Gi=61;ENOTSUP:no\x1b\\\x1b[3;1R" + CELL + WHO,
        WHO,
        b"typed before" + WHO,
    ],
)
def test_a_terminal_without_pictures_gets_text(terminal, answer: bytes) -> None:
    assert terminal(answer).asked() is None


def test_a_terminal_that_says_nothing_is_not_waited_for(terminal) -> None:
    assert terminal(b"").asked(0.2) is None


@pytest.mark.parametrize(
    ("settings", "no_colour", "is_asked"),
    [
        (Settings(), "", True),
        (Settings(notation="text"), "", False),
        (Settings(letters="plain"), "", False),
        (Settings(), "1", False),
    ],
)
def test_who_cannot_be_shown_a_picture_is_not_asked(
    settings: Settings, no_colour: str, is_asked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", no_colour)
    assert may_show_pictures(settings) is is_asked

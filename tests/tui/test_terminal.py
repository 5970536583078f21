"""The whole program in a real pseudo-terminal: to a played pass and out again, the terminal put back."""

import os
import select
import signal
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

SAMPLE = Path(__file__).parents[2] / "samples" / "study.musicxml"
ALTERNATE_OFF = b"\x1b[?1049l"


class Terminal:
    def __init__(self, folder: Path, *arguments: str, size: tuple[int, int] = (80, 24)) -> None:
        import fcntl

        self.master, self.slave = pty.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.before = termios.tcgetattr(self.slave)
        folders = {"XDG_DATA_HOME": str(folder), "XDG_CONFIG_HOME": str(folder)}
        environment = {**os.environ, **folders, "TERM": "xterm-256color"}
        # Textual writes to stderr.
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tui", *arguments],
            stdin=self.slave,
            stdout=self.slave,
            stderr=self.slave,
            env=environment,
        )
        self.seen = b""
        self.read_to = 0

    def until(self, text: bytes, seconds: float = 120.0) -> None:
        """Until a text has been written that was not waited for before."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            found = self.seen.find(text, self.read_to)
            if found >= 0:
                self.read_to = found + len(text)
                return
            self.drain(0.05)
        raise AssertionError(f"{text!r} was never written; the end is {self.seen[-300:]!r}")

    def drain(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            ready, _, _ = select.select([self.master], [], [], left)
            if ready:
                self.seen += os.read(self.master, 1 << 16)

    def press(self, keys: bytes, wait: float = 0.4) -> None:
        os.write(self.master, keys)
        self.drain(wait)

    def left(self) -> int:
        """Wait for the end; the exit code."""
        end = time.monotonic() + 60
        while self.process.poll() is None and time.monotonic() < end:
            self.drain(0.05)
        self.drain(0.1)
        code = self.process.poll()
        assert code is not None, "it never ended"
        return code

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self.master)
        os.close(self.slave)


@pytest.fixture
def terminal(tmp_path: Path):
    made: list[Terminal] = []

    def start(*arguments: str, size: tuple[int, int] = (80, 24)) -> Terminal:
        made.append(Terminal(tmp_path, *arguments, size=size))
        return made[-1]

    yield start
    for each in made:
        each.close()


def practise(here: Terminal) -> None:
    here.until(b"Which player")
    here.press(b"2")
    # The answer stands in the heading once the question has gone.
    here.until(b"you: 2")
    here.press(b"\r")
    here.until(b"count-in")


def test_from_opening_to_a_played_pass_and_out(terminal) -> None:
    here = terminal(str(SAMPLE), "--silent")
    practise(here)
    here.press(b"l")  # once, not looped
    here.press(b"=" * 10)  # 150 %
    here.press(b" ")
    here.until(b"is over")
    here.press(b"s")
    here.until(b"saved. Ctrl+Z")
    here.press(b"\x11")
    assert here.left() == 0
    assert ALTERNATE_OFF in here.seen[-4000:]
    assert termios.tcgetattr(here.slave) == here.before


@pytest.mark.parametrize("way", ["ctrl-c", "SIGTERM"])
def test_the_terminal_is_put_back_however_it_ends(terminal, way: str) -> None:
    here = terminal(str(SAMPLE), "--silent")
    practise(here)
    here.press(b" ")
    if way == "ctrl-c":
        here.press(b"\x03")
    else:
        here.process.send_signal(signal.SIGTERM)
    assert here.left() == 0
    assert ALTERNATE_OFF in here.seen[-4000:]
    assert termios.tcgetattr(here.slave) == here.before


def test_sixty_by_twenty_shows_what_fits(terminal) -> None:
    here = terminal(str(SAMPLE), "--silent", size=(60, 20))
    practise(here)
    here.press(b"\x11")
    assert here.left() == 0

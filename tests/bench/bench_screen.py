"""The screen: time to the first frame, and bytes written a tick while the head moves.

Run by hand: python -m pytest tests/bench/bench_screen.py -s
"""

import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "samples"


class Terminal:
    """A pseudo-terminal with the application in it."""

    def __init__(self, folder: Path, *arguments: str, size: tuple[int, int] = (160, 48), run: str = "tui") -> None:
        self.master, slave = pty.openpty()
        _resize(slave, size)
        environment = {
            **os.environ, "TERM": "xterm-256color", "XDG_DATA_HOME": str(folder), "XDG_CONFIG_HOME": str(folder),
        }  # fmt: skip
        command = [sys.executable, *(("-m", "tui") if run == "tui" else ("-c", run)), *arguments]
        self.started = time.perf_counter()
        # Textual writes to stderr.
        self.process = subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=environment)
        os.close(slave)

    def read(self, seconds: float) -> list[tuple[float, bytes]]:
        """What is written within some seconds, with its moment."""
        found = []
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            ready, _, _ = select.select([self.master], [], [], left)
            if ready:
                found.append((time.perf_counter(), os.read(self.master, 1 << 16)))
        return found

    def until(self, text: bytes, seconds: float = 20.0) -> float:
        """Moment at which a text has been written."""
        seen = b""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            for moment, data in self.read(0.02):
                seen += data
                if text in seen:
                    return moment
        raise AssertionError(f"{text!r} was never written")

    def press(self, keys: bytes) -> None:
        os.write(self.master, keys)

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self.master)


def _resize(descriptor: int, size: tuple[int, int]) -> None:
    import fcntl
    import termios

    fcntl.ioctl(descriptor, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_the_first_frame_takes_no_more_than_three_bare_applications(tmp_path: Path) -> None:
    bare = (
        "from textual.app import App\nfrom textual.widgets import Static\nclass Bare(App):\n"
        " def compose(self): yield Static('your pieces')\nBare().run()"
    )
    ours, theirs = [], []
    for _ in range(6):  # In turns, so that both see the same machine.
        ours.append(_first_frame(Terminal(tmp_path, "stand", "--silent", size=(80, 24))))
        theirs.append(_first_frame(Terminal(tmp_path, size=(80, 24), run=bare)))
    ratio = statistics.median(ours[1:]) / statistics.median(theirs[1:])
    print("  first frame: " + ", ".join(f"{seconds:.2f}" for seconds in ours) + f" s; {ratio:.2f} bare applications")
    assert ratio < 3


def _first_frame(terminal: Terminal) -> float:
    seconds = terminal.until(b"your pieces") - terminal.started
    terminal.close()
    return seconds


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 48)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_a_head_that_moves_sends_little(tmp_path: Path, size: tuple[int, int]) -> None:
    """300 bytes a tick of a thirtieth on the mean, and no burst above 4 KB but where a page is turned."""
    terminal = Terminal(tmp_path, str(SAMPLES / "quartet.musicxml"), "--silent", size=size)
    terminal.until(b"Which player")
    terminal.press(b"\x1b[B\r")
    terminal.read(1.5)
    terminal.press(b"/17\r")
    terminal.read(0.7)
    terminal.press(b"\r")
    terminal.read(2.0)
    # A tempo of 70 %, as one practises.
    terminal.press(b"%")
    terminal.read(1.0)
    terminal.press(b"70%\r")
    terminal.read(2.0)
    terminal.press(b" ")
    terminal.until(b"playing")
    terminal.read(4.0)
    before = _cpu_seconds(terminal.process.pid)
    begun = time.perf_counter()
    sizes, turns = _bursts(terminal, 12.0)
    passed = time.perf_counter() - begun
    cpu = _cpu_seconds(terminal.process.pid) - before
    terminal.close()
    mean = sum(sizes) / (passed * 30)
    print(
        f"  {size[0]}x{size[1]}: {len(sizes)} redraws in {passed:.0f} s, mean {mean:.0f} bytes a tick, "
        f"largest {max(sizes)} off page turns, page turns {turns}, {100 * cpu / passed:.1f} % of a core"
    )
    assert mean <= 300
    assert max(sizes) <= 4096


def _bursts(terminal: Terminal, seconds: float) -> tuple[list[int], list[int]]:
    """Bytes that were written together, apart from those that turned a page (they send bar numbers again)."""
    sizes: list[int] = []
    turns: list[int] = []
    moment, burst = 0.0, b""
    for when, data in [*terminal.read(seconds), (float("inf"), b"")]:
        if when - moment > 0.015 and burst:
            # A turned page sends whole rows; a beat only steps to its columns.
            whole_rows = len(re.findall(rb";1H(?!\x1b\[\d+C)", burst))
            (turns if whole_rows >= 6 else sizes).append(len(burst))
            burst = b""
        moment, burst = when, burst + data
    return sizes, turns


def _cpu_seconds(pid: int) -> float:
    """Processor seconds of a process so far; 0 where the system does not tell."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

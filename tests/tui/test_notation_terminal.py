"""The whole program in a pseudo-terminal that shows pictures in cells: what it is sent, byte for byte.

No terminal that draws them was at hand: a reader written from the protocol's description stands for it.
"""

import os
import select
import shutil
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.part_notes import EngravedPart
from score.parts.system_picture import STAFF_MM, Request, system_picture
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from tests.tui.screen_reader import ScreenReader
from tui.drawing.palette import DARK
from tui.drawing.picture_cells import MARKS

fcntl = pytest.importorskip("fcntl")
pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"


class PictureTerminal:
    """The program and the terminal it believes to run in."""

    def __init__(self, score: Path, folder: Path, settings: str = "") -> None:
        self.reader = ScreenReader(120, 40)
        self.master, self.slave = pty.openpty()
        self._tell_size()
        (folder / "inbreath").mkdir(exist_ok=True)
        (folder / "inbreath" / "settings.toml").write_text(settings)
        folders = {"XDG_DATA_HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "HOME": str(folder)}
        environment = {**os.environ, **folders, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
        # A size in the environment would speak louder than the terminal itself.
        for name in ("NO_COLOR", "COLUMNS", "LINES"):
            environment.pop(name, None)
        ends = {"stdin": self.slave, "stdout": self.slave, "stderr": self.slave}
        command = [sys.executable, "-m", "tui", str(score), "--silent"]
        self.process = subprocess.Popen(command, env=environment, **ends)

    def resize(self, columns: int, rows: int) -> None:
        self.reader.resize(columns, rows)
        self._tell_size()
        self.process.send_signal(signal.SIGWINCH)

    def press(self, keys: bytes) -> None:
        os.write(self.master, keys)

    def until(self, holds: Callable[[], bool], seconds: float = 180.0) -> None:
        end = time.monotonic() + seconds
        while not holds():
            assert time.monotonic() < end, f"{self.reader.text()}\n{self.reader.sent} {self.reader.pictures.keys()}"
            self.read(0.05)

    def read(self, seconds: float) -> int:
        """Read for a while and answer; how many bytes came."""
        end, count = time.monotonic() + seconds, 0
        while (left := end - time.monotonic()) > 0:
            ready, _, _ = select.select([self.master], [], [], left)
            if ready:
                data = os.read(self.master, 1 << 16)
                count += len(data)
                self.reader.feed(data)
            if self.reader.answers:
                os.write(self.master, self.reader.answers)
                self.reader.answers = b""
        return count

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self.master)
        os.close(self.slave)

    def _tell_size(self) -> None:
        reader = self.reader
        size = struct.pack("HHHH", reader.rows, reader.columns, reader.columns * 9, reader.rows * 18)
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, size)


@pytest.fixture
def start(tmp_path: Path):
    started: list[PictureTerminal] = []
    score = Path(shutil.copy(SAMPLE, tmp_path / "quartet.musicxml"))

    def run(settings: str = "") -> PictureTerminal:
        started.append(PictureTerminal(score, tmp_path, settings))
        return started[-1]

    yield run
    for each in started:
        each.close()


def practise(here: PictureTerminal) -> None:
    """Player 2 opens the first chunk."""
    here.until(lambda: "Player 2" in here.reader.text())
    here.press(b"2")
    here.until(lambda: "enter" in here.reader.text() and "cancels" not in here.reader.text())
    here.press(b"\r")
    here.until(lambda: "stopped" in here.reader.text())


def whole(reader: ScreenReader, image: int) -> bool:
    """Every cell of a picture stands on the screen once, at its own place in one rectangle."""
    picture, cells = reader.pictures[image], reader.image_cells().get(image, {})
    if not cells:
        return False
    top, left = min(cells)
    marks = {place: MARKS[place[0] - top] + MARKS[place[1] - left] for place in cells}
    return len(cells) == picture.columns * picture.rows and all(cells[place][0] == marks[place] for place in cells)


@pytest.mark.campaign
def test_what_is_sent_is_the_engravers_picture_and_stands_whole(start) -> None:
    here = start()
    practise(here)
    reader = here.reader
    here.until(lambda: len(reader.image_cells()) == 2 and all(whole(reader, image) for image in reader.image_cells()))
    (image,) = (number for number, cells in reader.image_cells().items() if min(cells)[0] < 20)
    picture = reader.pictures[image]
    # The same bars drawn here, by the engine alone.
    reading = read_score(SAMPLE)
    sheet = choose_cues(reading.piece, 2, Level.USUAL, ())
    notes = EngravedPart(uncued_part(reading, sheet), reading.piece, sheet, STAFF_MM)
    sizes = [3.2 * 18 * 0.82**smaller for smaller in range(3)]
    asked = [Request(range(bars), 120, (9, 18), size, DARK.ink) for bars in (7, 8, 6) for size in sizes]
    assert picture.png in (system_picture(notes, each).png for each in asked)

    sent = list(reader.sent)
    here.press(b"k")
    here.until(lambda: "every beat" in reader.text() and not reader.image_cells())
    here.press(b"\x1b")
    here.until(lambda: image in reader.image_cells() and whole(reader, image))
    assert reader.sent == sent, "a dialog sends no picture again"

    def lit() -> set[int]:
        cells = [cell for each in reader.image_cells().values() for cell in each.items()]
        return {x for (_, x), (_, ground) in cells if ground == DARK.lit}

    assert lit() == set()
    here.press(b" ")
    here.until(lambda: bool(lit()))
    first = lit()
    assert max(first) - min(first) + 1 == len(first)
    here.until(lambda: bool(lit()) and not lit() & first)
    assert reader.sent == sent, "a beat sends no picture"
    here.press(b" ")
    here.until(lambda: lit() == set())

    here.resize(100, 36)
    here.until(
        lambda: any(whole(reader, number) and reader.pictures[number].columns == 100 for number in reader.pictures)
    )
    assert all(x < 100 for cells in reader.image_cells().values() for _, x in cells)
    here.press(b"\x11")
    here.until(lambda: here.process.poll() is not None)
    here.read(0.2)
    assert set(reader.pictures) == set()


def test_who_wants_text_is_not_asked_and_gets_text(start) -> None:
    here = start('notation = "text"')
    practise(here)
    here.read(1.0)
    assert here.reader.sent == []
    assert not here.reader.image_cells()

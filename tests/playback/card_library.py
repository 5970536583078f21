"""A library of simulated cards in the place of the audio library: the names we ask for, and a test's own devices.

`Card` is what devices may be made from: theirs is `run`, which sends to `sound` in blocks of `frames` while it is open.
"""

from pathlib import Path

NAMES = """
import enum, json, os, threading, time

class MiniaudioError(Exception): ...
class SampleFormat(enum.Enum):
    FLOAT32 = 1
class Backend(enum.Enum):
    NULL = 0
    SIMULATED = 1

class Card:
    def __init__(self, *, buffersize_msec, callback_periods, sample_rate, **rest):
        self.frames = sample_rate * buffersize_msec // 1000
        self.open = True
    def start(self, sound):
        self.sound = sound
        threading.Thread(target=self.run, daemon=True).start()
    def close(self):
        self.open = False
"""


def write_card_library(folder: Path, devices: str) -> None:
    """For programs that find this folder before the real library.

    Args:
        folder: where it is written.
        devices: source of `PlaybackDevice` and `DuplexStream`.
    """
    (folder / "miniaudio.py").write_text(f"{NAMES}{devices}")

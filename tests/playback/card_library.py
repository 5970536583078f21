"""A library of simulated cards in the place of the audio library: the names we ask for, and a test's own devices."""

from pathlib import Path

NAMES = """
import enum, json, os, threading, time

class MiniaudioError(Exception): ...
class SampleFormat(enum.Enum):
    FLOAT32 = 1
class Backend(enum.Enum):
    NULL = 0
    SIMULATED = 1
"""


def write_card_library(folder: Path, devices: str) -> None:
    """For programs that find this folder before the real library.

    Args:
        folder: where it is written.
        devices: source of `PlaybackDevice` and `DuplexStream`.
    """
    (folder / "miniaudio.py").write_text(f"{NAMES}{devices}")

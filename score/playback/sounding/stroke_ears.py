"""What hears a player stroke by stroke: strokes gathered from any thread, and a MIDI port."""

import contextlib
import threading
import time
from collections.abc import Callable
from typing import Any

from score.playback.sounding.midi_ports import input_names, open_strokes
from score.strokes.heard_stroke import MIDI, HeardStroke

_MOST = 100_000
"""Strokes after which the oldest are forgotten: a port that floods must not fill the memory."""
_LOOKS = 2.0
"""Seconds between two looks whether a port is still there."""


class StrokeLog:
    """Strokes as they come in, kept until they are asked for; from any thread."""

    def __init__(self) -> None:
        self._strokes: list[HeardStroke] = []
        self._lock = threading.Lock()

    def add(self, stroke: HeardStroke) -> None:
        """A stroke was heard."""
        with self._lock:
            self._strokes.append(stroke)
            if len(self._strokes) > _MOST:
                del self._strokes[: _MOST // 2]

    def between(self, start: float, end: float) -> tuple[HeardStroke, ...]:
        """Strokes of some seconds, in the order of their moments."""
        with self._lock:
            return tuple(sorted(stroke for stroke in self._strokes if start <= stroke.seconds <= end))

    def forget(self, before: float) -> None:
        """Let go of what came before a moment."""
        with self._lock:
            self._strokes = [stroke for stroke in self._strokes if stroke.seconds >= before]


class MidiEar:
    """A MIDI port: every note struck, stamped at once, with its pitch and velocity.

    Args:
        port: its name.
        heard: told each stroke, from a thread of the port's.

    Raises:
        OSError: no library, or the port is not there or refuses.
    """

    def __init__(self, port: str, heard: Callable[[HeardStroke], None]) -> None:
        self.port = port
        self._looked = time.monotonic()

        def take(note: int, velocity: int) -> None:
            heard(HeardStroke(time.perf_counter(), velocity / 127, note, source=MIDI))

        self._open: Any = open_strokes(port, take)

    def is_gone(self) -> bool:
        """Whether the port was pulled out; looks every two seconds."""
        now = time.monotonic()
        if now - self._looked < _LOOKS:
            return False
        self._looked = now
        with contextlib.suppress(OSError):
            return self.port not in input_names()
        return True

    def close(self) -> None:
        """Give the port back."""
        with contextlib.suppress(Exception):
            self._open.close()

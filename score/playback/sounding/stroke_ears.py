"""Ears that hear strokes one by one: tapped keys, a MIDI port. Strokes may come from any thread, stamped at once."""

import contextlib
import threading
import time
from typing import Any

from score.playback.sounding.midi_ports import input_names, open_strokes
from score.strokes.heard_stroke import KEY, MIDI, HeardStroke

_MOST = 100_000
"""Strokes after which the oldest are forgotten: a port that floods must not fill the memory."""
_LOOKS = 2.0
"""Seconds between two looks whether a port is still there."""


class KeyEar:
    """Keys that are tapped."""

    source = KEY

    def __init__(self) -> None:
        self._strokes: list[HeardStroke] = []
        self._lock = threading.Lock()

    def struck(self, moment: float, level: float = 1.0, pitch: int | None = None) -> None:
        """A stroke.

        Args:
            moment: when, of `time.perf_counter`.
            level: how strongly, 0 to 1.
            pitch: MIDI number, None where it means nothing.
        """
        with self._lock:
            self._strokes.append(HeardStroke(moment, level, pitch, self.source))
            if len(self._strokes) > _MOST:
                del self._strokes[: _MOST // 2]

    def between(self, start: float, end: float) -> tuple[HeardStroke, ...]:
        """Strokes of some seconds of `time.perf_counter`, in the order of their moments."""
        with self._lock:
            return tuple(sorted(stroke for stroke in self._strokes if start <= stroke.seconds <= end))

    def since(self, count: int) -> tuple[HeardStroke, ...]:
        """Strokes after the first so many."""
        with self._lock:
            return tuple(self._strokes[count:])

    def forget(self, before: float) -> None:
        """Let go of what came before a moment."""
        with self._lock:
            self._strokes = [stroke for stroke in self._strokes if stroke.seconds >= before]

    def trouble(self) -> str:
        """One line when it hears no more, "" while it does."""
        return ""

    def close(self) -> None:
        """Nothing to give back."""


class MidiEar(KeyEar):
    """A MIDI port: every note struck, with its pitch and velocity.

    Args:
        port: its name.

    Raises:
        OSError: no library, or the port is not there or refuses.
    """

    source = MIDI

    def __init__(self, port: str) -> None:
        super().__init__()
        self.port = port
        self._looked, self._gone = time.monotonic(), False
        self._open: Any = open_strokes(port, self._note)

    def _note(self, note: int, velocity: int) -> None:
        self.struck(time.perf_counter(), velocity / 127, note)

    def trouble(self) -> str:
        """One line, once, when the port has gone."""
        now = time.monotonic()
        if self._gone or now - self._looked < _LOOKS:
            return ""
        self._looked = now
        with contextlib.suppress(OSError):
            if self.port in input_names():
                return ""
        self._gone = True
        return f"MIDI port {self.port} has gone; the pass goes on. Plug it in and choose it again."

    def close(self) -> None:
        """Give the port back."""
        with contextlib.suppress(Exception):
            self._open.close()

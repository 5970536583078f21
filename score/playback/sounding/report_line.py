"""What the sound process reports, gathered by a thread of its own: whoever asks never waits, whoever wants is woken."""

import contextlib
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from queue import Empty, SimpleQueue

from score.playback.sounding.sound_messages import Report, Said

_ENDED = "The sound process has ended; practice goes on without sound."


class ReportLine:
    """Reports in the order they came.

    Args:
        pipe: to the process; nobody else may read it.
    """

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._reports: SimpleQueue[Report] = SimpleQueue()
        self.woken: Callable[[], None] | None = None

    def start(self) -> None:
        """Gather from now on."""
        threading.Thread(target=self._gather, daemon=True).start()

    def taken(self) -> list[Report]:
        """Everything reported since the last call."""
        reports: list[Report] = []
        with contextlib.suppress(Empty):
            while True:
                reports.append(self._reports.get_nowait())
        return reports

    def _gather(self) -> None:
        """Until the process has gone."""
        try:
            while True:
                self._told(self._pipe.recv())
        except (EOFError, OSError):
            self._told(Said(_ENDED, is_trouble=True))

    def _told(self, report: Report) -> None:
        self._reports.put(report)
        woken = self.woken
        if woken is not None:
            woken()

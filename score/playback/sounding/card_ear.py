"""What a card hears on its way to the application: sound a twentieth of a second at a time, strokes at once."""

from collections.abc import Callable, Iterable

import numpy as np

from score.playback.sounding.sound_messages import Caught, Listen, Report, StoodOut
from score.strokes.live_onsets import LiveOnsets
from score.strokes.spectral_rise import RATE

_TOLD_AT_ONCE = 2400
"""Frames handed over at once: sound is judged after the pass, so it does not have to hurry."""


class CardEar:
    """Gathers what was heard and tells it.

    Args:
        wish: how the player is heard.
        report: told what is heard.
    """

    def __init__(self, wish: Listen, report: Callable[[Report], None]) -> None:
        self._report = report
        self._live = LiveOnsets(wish.level) if wish.lights else None
        self._begins: int | None = None
        self._waiting: list[Caught] = []

    def take(self, blocks: Iterable[Caught]) -> None:
        """Some blocks that follow one another."""
        for block in blocks:
            self._begins = block.frame if self._begins is None else self._begins
            if self._live is not None:
                for onset in self._live.fed(np.frombuffer(block.heard, np.float32)):
                    self._report(StoodOut(self._begins + onset.seconds * RATE))
            self._waiting.append(block)
            if sum(len(waiting.heard) for waiting in self._waiting) >= 4 * _TOLD_AT_ONCE:
                self.tell()

    def tell(self) -> None:
        """Hand over what is left."""
        if self._waiting:
            heard, sent = (b"".join(getattr(b, side) for b in self._waiting) for side in ("heard", "sent"))
            self._report(Caught(self._waiting[0].frame, heard, sent))
            self._waiting = []

"""Strikes placed by frame and mixed from templates made beforehand: what every output has that sounds by itself."""

import threading
import time
from math import inf
from queue import Empty, SimpleQueue
from typing import Any

import numpy as np

from score.playback.mixing import Block, Mixer, limited
from score.playback.sound_events import Strike

RATE = 48_000
USUAL, QUICK = (20, 3, 0.09), (10, 2, 0.02)
"""Milliseconds of a buffer, how many, and seconds ahead at which a strike is told: 150 and 40 ms from order to ear."""
SUB_BLOCK = 240
"""Frames mixed at once: larger arrays would keep other threads waiting."""
_WARM_FIRST = 4.0
"""Seconds of a timeline whose sounds are made before it may play; the rest are made while it plays."""
_TRACKING = 0.01 / 20
"""How quickly the frame clock follows the process's clock, for each millisecond of a buffer: a callback of 20 ms that
comes late moves it by a hundredth."""


class MixedOutput:
    """Mixes what it is told; whoever owns the device asks for the frames.

    Args:
        quick: a short way from order to ear rather than a safe one.
        pace: milliseconds of a buffer, how many, and seconds ahead at which a strike is told; None for what is usual.
    """

    def __init__(self, quick: bool = False, pace: tuple[int, int, float] | None = None) -> None:
        self._is_quick = quick
        self.milliseconds, self.periods, self.ahead = pace or (QUICK if quick else USUAL)
        self.latency = self.milliseconds * self.periods / 1000
        self.mixer = Mixer(rate=RATE)
        self._orders: SimpleQueue[tuple[str, Any]] = SimpleQueue()
        self._anchor: tuple[float, float] | None = None
        self._frame = 0
        self._warming = threading.Event()

    def load(self, strikes: tuple[Strike, ...]) -> None:
        """Make the sounds of the first seconds now and the rest beside."""
        self._warming.set()
        self._warming = threading.Event()
        first = strikes[0].seconds if strikes else 0.0
        # Who is followed may be faster than what is made beside.
        until = inf if self._is_quick else first + _WARM_FIRST
        early = [strike for strike in strikes if strike.seconds < until]
        self.mixer.warm(early)
        self._orders.put(("place", {strike.player for strike in strikes}))
        stop = self._warming
        threading.Thread(target=self._warm, args=(strikes[len(early) :], stop), daemon=True).start()

    def strike(self, strike: Strike, when: float) -> None:
        """Place a strike at its frame."""
        self._orders.put(("strike", (strike, when)))

    def release(self, now: float) -> float | None:
        """Sounds end by themselves."""
        return None

    def silence(self) -> None:
        """Fade everything out at once."""
        self._orders.put(("silence", None))

    def frame_of(self, when: float, begins: bool) -> int:
        """Nobody hears here."""
        return -1

    def close(self) -> None:
        """Nothing more is made."""
        self._warming.set()

    def _warm(self, strikes: tuple[Strike, ...], stop: threading.Event) -> None:
        for strike in strikes:
            if stop.is_set():
                return
            self.mixer.warm((strike,))
            time.sleep(0)

    def _mixed(self, frames: int) -> Block:
        """The next frames."""
        self._track()
        self._obey()
        block = np.zeros((frames, 2), np.float32)
        for start in range(0, frames, SUB_BLOCK):
            part = block[start : start + SUB_BLOCK]
            self.mixer.mix_into(part, self._frame + start)
        self._frame += frames
        return limited(block)

    def _track(self) -> None:
        now = time.perf_counter()
        if self._anchor is None:
            self._anchor = now, float(self._frame)
            return
        moment, frame = self._anchor
        expected = frame + (now - moment) * RATE
        self._anchor = now, expected + _TRACKING * self.milliseconds * (self._frame - expected)

    def _obey(self) -> None:
        while True:
            try:
                what, value = self._orders.get_nowait()
            except Empty:
                return
            if what == "strike":
                strike, when = value
                self.mixer.strike(strike, max(self._frame, self._frame_at(when)))
            elif what == "place":
                self.mixer.place(value)
            else:
                self.mixer.cut(self._frame)

    def _frame_at(self, when: float) -> int:
        assert self._anchor is not None
        moment, frame = self._anchor
        return round(frame + (when - moment) * RATE)

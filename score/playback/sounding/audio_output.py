"""The sound card: strikes placed by frame, mixed in the device's own thread from templates made beforehand."""

import threading
import time
from collections.abc import Generator
from queue import Empty, SimpleQueue
from typing import Any

import numpy as np

from score.playback.mixing import Mixer, limited
from score.playback.sound_events import Strike
from score.playback.sounding.sound_outputs import OutputLost

RATE = 48_000
USUAL, QUICK = (20, 3, 0.09), (10, 2, 0.02)
"""Milliseconds of a buffer, how many, and seconds ahead at which a strike is told: 150 and 40 ms from order to ear."""
SUB_BLOCK = 240
"""Frames mixed at once: larger arrays would keep other threads waiting."""
_WARM_FIRST = 4.0
"""Seconds of a timeline whose sounds are made before it may play; the rest are made while it plays."""
_TRACKING = 0.01
"""How quickly the frame clock follows the process's clock; a callback that comes late moves it by a hundredth."""


class SoundCard:
    """An open playback device.

    Args:
        backend: name of a miniaudio backend to use alone; "" for any real one.
        quick: a short way from order to ear rather than a safe one.

    Raises:
        ImportError: miniaudio is not installed here.
        OutputLost: no device, or it refuses.
    """

    def __init__(self, backend: str = "", quick: bool = False) -> None:
        import miniaudio

        milliseconds, periods, self.ahead = QUICK if quick else USUAL
        self.latency = milliseconds * periods / 1000
        self.mixer = Mixer(rate=RATE)
        self._orders: SimpleQueue[tuple[str, Any]] = SimpleQueue()
        self._anchor: tuple[float, float] | None = None
        self._frame = 0
        self._warming = threading.Event()
        try:
            self._device = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.FLOAT32,
                nchannels=2,
                sample_rate=RATE,
                buffersize_msec=milliseconds,
                callback_periods=periods,
                backends=_backends(miniaudio, backend),
                app_name="Inbreath",
            )
            sound = self._sound()
            next(sound)
            self._device.start(sound)
        except miniaudio.MiniaudioError as error:
            # Its second argument is a number of its own; the first says what happened.
            raise OutputLost(str(error.args[0] if error.args else error)) from error

    def load(self, strikes: tuple[Strike, ...]) -> None:
        """Make the sounds of the first seconds now and the rest beside."""
        self._warming.set()
        self._warming = threading.Event()
        first = strikes[0].seconds if strikes else 0.0
        early = [strike for strike in strikes if strike.seconds < first + _WARM_FIRST]
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

    def close(self) -> None:
        """Stop and close the device."""
        self._warming.set()
        self._device.close()

    def _warm(self, strikes: tuple[Strike, ...], stop: threading.Event) -> None:
        for strike in strikes:
            if stop.is_set():
                return
            self.mixer.warm((strike,))
            time.sleep(0)

    def _sound(self) -> Generator[bytes, int, None]:
        """The device's callback: frames wanted in, sound out. Runs in the device's thread."""
        frames = yield b""
        while True:
            self._track()
            self._obey()
            block = np.zeros((frames, 2), np.float32)
            for start in range(0, frames, SUB_BLOCK):
                part = block[start : start + SUB_BLOCK]
                self.mixer.mix_into(part, self._frame + start)
            self._frame += frames
            frames = yield limited(block).tobytes()

    def _track(self) -> None:
        now = time.perf_counter()
        if self._anchor is None:
            self._anchor = now, float(self._frame)
            return
        moment, frame = self._anchor
        expected = frame + (now - moment) * RATE
        self._anchor = now, expected + _TRACKING * (self._frame - expected)

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


def _backends(miniaudio: Any, name: str) -> list[Any]:
    if name:
        return [getattr(miniaudio.Backend, name)]
    # The null device would open everywhere and pretend to sound.
    return [backend for backend in miniaudio.Backend if backend.name not in ("NULL", "CUSTOM")]

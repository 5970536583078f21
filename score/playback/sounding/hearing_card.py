"""A card that plays and hears by one clock, and a file that stands for a microphone where there is no card."""

import time
from collections.abc import Generator, Iterator
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import numpy as np

from score.playback.mixing import Block
from score.playback.recording_file import read_recording
from score.playback.sounding.audio_output import SoundCard, backends
from score.playback.sounding.mixed_output import RATE, MixedOutput
from score.playback.sounding.sound_messages import Caught

HEARING = (5, 12, 0.09)
"""Milliseconds of a buffer, how many, and seconds ahead: as long a way as a card that only plays has, in smaller steps,
so that a stroke does not wait for its block."""
_STARTS, _STALLS = 3.0, 1.0
"""Seconds after which a card that hands over nothing has gone: after it was opened (some have to find their headset
first), and later."""
_FILE_BLOCK = 240
_FILE_LOOKS = 0.005


class HearingOutput(MixedOutput):
    """What an output has that hears too: frames played and heard are counted by one clock."""

    def __init__(self) -> None:
        self._caught: SimpleQueue[tuple[int, bytes, Block]] = SimpleQueue()
        self._followed: tuple[float, float] | None = None
        super().__init__()

    def is_gone(self, now: float) -> bool:
        """Whether nothing will be heard any more."""
        return False

    def frame_of(self, when: float, begins: bool) -> int:
        """The frame of a moment. The clock is set anew when a pass begins, and stands while it goes on."""
        if self._anchor is None or begins:
            self._anchor = self._followed or (time.perf_counter(), float(self._frame))
        return self._frame_at(when)

    def caught(self, wait: float) -> Iterator[Caught]:
        """What was heard since the last call, with what was played in the same frames; for one thread to ask.

        Args:
            wait: seconds to wait for the first of it.
        """
        try:
            frame, heard, sent = self._caught.get(timeout=wait)
            while True:
                yield Caught(frame, heard, sent.mean(axis=1, dtype=np.float32).tobytes())
                frame, heard, sent = self._caught.get_nowait()
        except Empty:
            return

    def _track(self) -> None:
        """Inside a pass the card's own frames are the clock: strikes are even to the sample."""
        kept, self._anchor = self._anchor, self._followed
        super()._track()
        self._followed, self._anchor = self._anchor, kept or self._anchor

    def _exchanged(self, heard: bytes) -> Block:
        """The next frames to play for as many that were heard; nothing is done with these but to keep them."""
        frame = self._frame
        sent = self._mixed(len(heard) // 4)
        self._caught.put((frame, heard, sent))
        return sent


class HearingCard(HearingOutput, SoundCard):
    """A card opened for playing and hearing at once.

    Args:
        backend: name of a miniaudio backend to use alone; "" for any real one.

    Raises:
        ImportError: miniaudio is not installed here.
        OutputLost: no device, no microphone, or one that refuses.
    """

    def __init__(self, backend: str = "") -> None:
        self._caught, self._followed = SimpleQueue(), None
        SoundCard.__init__(self, backend, pace=HEARING)
        self._gone_from = time.perf_counter() + _STARTS

    def is_gone(self, now: float) -> bool:
        """Whether it was pulled out, or was never allowed to hear: it asks for no frames then, and says nothing."""
        return now > self._gone_from

    def _opened(self, miniaudio: Any, backend: str) -> tuple[Any, Generator[bytes, Any, None]]:
        device = miniaudio.DuplexStream(
            playback_format=miniaudio.SampleFormat.FLOAT32,
            playback_channels=2,
            capture_format=miniaudio.SampleFormat.FLOAT32,
            capture_channels=1,
            sample_rate=RATE,
            buffersize_msec=self.milliseconds,
            callback_periods=self.periods,
            backends=backends(miniaudio, backend),
            app_name="Inbreath",
        )
        return device, self._exchange()

    def _exchange(self) -> Generator[bytes, bytes, None]:
        """The device's callback: what was heard in, sound out. Runs in the device's thread."""
        heard = yield b""
        while True:
            self._gone_from = time.perf_counter() + _STALLS
            heard = yield self._exchanged(bytes(heard)).tobytes()


class FileEar(HearingOutput):
    """A sound file heard as if it were played now: it begins with each pass. Nothing sounds.

    Args:
        path: the file.

    Raises:
        RequestError: it cannot be read.
    """

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.ahead, self.latency = 0.05, 0.0
        self._samples = read_recording(path).samples
        self._begun = 0

    def frame_of(self, when: float, begins: bool) -> int:
        """The frame of a moment; the file begins anew with a pass."""
        if self._anchor is None:
            self._anchor = time.perf_counter(), float(self._frame)
        frame = self._frame_at(when)
        if begins:
            self._begun = frame
        return frame

    def _track(self) -> None:
        """Its clock is the machine's."""

    def caught(self, wait: float) -> Iterator[Caught]:
        """As much of the file as time has passed."""
        time.sleep(min(wait, _FILE_LOOKS))
        if self._anchor is None:
            self._anchor = time.perf_counter(), float(self._frame)
        due = self._frame_at(time.perf_counter())
        while self._frame + _FILE_BLOCK <= due:
            self._exchanged(self._next().tobytes())
        yield from super().caught(_FILE_LOOKS)

    def _next(self) -> np.ndarray[Any, np.dtype[np.float32]]:
        block = np.zeros(_FILE_BLOCK, np.float32)
        first = self._frame - self._begun
        part = self._samples[max(0, first) : max(0, first + _FILE_BLOCK)]
        start = max(0, -first)
        block[start : start + len(part)] = part
        return block

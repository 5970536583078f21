"""The sound card: mixed in the device's own thread."""

from collections.abc import Generator
from typing import Any

from score.playback.sounding.mixed_output import RATE, MixedOutput
from score.playback.sounding.sound_outputs import OutputLost


class SoundCard(MixedOutput):
    """An open playback device.

    Args:
        backend: name of a miniaudio backend to use alone; "" for any real one.
        quick: a short way from order to ear rather than a safe one.
        pace: as `MixedOutput` takes it.

    Raises:
        ImportError: miniaudio is not installed here.
        OutputLost: no device, or it refuses.
    """

    def __init__(self, backend: str = "", quick: bool = False, pace: tuple[int, int, float] | None = None) -> None:
        import miniaudio

        super().__init__(quick, pace)
        self._device: Any = None
        try:
            self._device, sound = self._opened(miniaudio, backend)
            next(sound)
            self._device.start(sound)
        except miniaudio.MiniaudioError as error:
            if self._device is not None:
                # What cannot start must not keep the card from whoever is opened next.
                self._device.close()
            # Its second argument is a number of its own; the first says what happened.
            raise OutputLost(str(error.args[0] if error.args else error)) from error

    def close(self) -> None:
        """Stop and close the device."""
        super().close()
        self._device.close()

    def _opened(self, miniaudio: Any, backend: str) -> tuple[Any, Generator[bytes, Any, None]]:
        """The device and its callback."""
        device = miniaudio.PlaybackDevice(
            output_format=miniaudio.SampleFormat.FLOAT32,
            nchannels=2,
            sample_rate=RATE,
            buffersize_msec=self.milliseconds,
            callback_periods=self.periods,
            backends=backends(miniaudio, backend),
            app_name="Inbreath",
        )
        return device, self._sound()

    def _sound(self) -> Generator[bytes, int, None]:
        """The device's callback: frames wanted in, sound out. Runs in the device's thread."""
        frames = yield b""
        while True:
            frames = yield self._mixed(frames).tobytes()


def backends(miniaudio: Any, name: str) -> list[Any]:
    """Those to try: the one that is named, or all that are real."""
    if name:
        return [getattr(miniaudio.Backend, name)]
    # The null device would open everywhere and pretend to sound.
    return [backend for backend in miniaudio.Backend if backend.name not in ("NULL", "CUSTOM")]

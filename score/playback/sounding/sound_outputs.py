"""What makes sound: a MIDI port, or nothing. The synthesizer is in `audio`."""

import contextlib
from typing import Any, Protocol

from score.playback.general_midi import Patch, patch_of
from score.playback.sound_events import Strike

CHANNELS = 16
_DRUMS = 9
_ALL_SOUND_OFF, _ALL_NOTES_OFF = 120, 123


class OutputLost(Exception):  # noqa: N818  (said to the user in one line, never raised to them)
    """The device went away or refuses."""


class Output(Protocol):
    """Something that sounds.

    Attributes:
        ahead: seconds before a strike's moment at which it wants to be told.
        latency: seconds from a moment to when it is heard.
    """

    ahead: float
    latency: float

    def load(self, strikes: tuple[Strike, ...]) -> None:
        """Get ready for these strikes."""

    def strike(self, strike: Strike, when: float) -> None:
        """Sound a strike at a moment of the process's clock, seconds."""

    def release(self, now: float) -> float | None:
        """End what is to end by now; gives back when it next wants to be called, or None."""

    def silence(self) -> None:
        """Stop everything at once."""

    def frame_of(self, when: float, begins: bool) -> int:
        """Frame in which a moment is handed out, -1 where nothing is heard; a pass may begin there."""

    def close(self) -> None:
        """Silence and give the device back."""


class Silent:
    """No sound: the clock runs all the same, so that the screen still leads."""

    ahead = 0.0
    latency = 0.0

    def load(self, strikes: tuple[Strike, ...]) -> None:
        """Nothing to get ready."""

    def strike(self, strike: Strike, when: float) -> None:
        """Nothing sounds."""

    def release(self, now: float) -> float | None:
        """Nothing to end."""
        return None

    def silence(self) -> None:
        """It is silent."""

    def frame_of(self, when: float, begins: bool) -> int:
        """It hears nothing."""
        return -1

    def close(self) -> None:
        """Nothing to give back."""


class MidiPort:
    """A MIDI port: General MIDI programs, a channel for each player and instrument, drums on channel 10.

    Args:
        port: an open mido output.
    """

    ahead = 0.0
    latency = 0.0

    def __init__(self, port: Any) -> None:
        import mido

        self._port, self._message = port, mido.Message
        self._channels: dict[tuple[int, str], int] = {}
        self._ends: list[tuple[float, int, int]] = []

    def load(self, strikes: tuple[Strike, ...]) -> None:
        """Give every player's instrument a channel with its program; beyond fifteen they share."""
        free = [channel for channel in range(CHANNELS) if channel != _DRUMS]
        for key in dict.fromkeys(
            (s.player, s.voice) for s in strikes if not patch_of(s.voice, s.pitch, s.variant).is_drum
        ):
            if key not in self._channels:
                self._channels[key] = free[len(self._channels) % len(free)]
                self._send("program_change", channel=self._channels[key], program=patch_of(key[1], 60).number)

    def strike(self, strike: Strike, when: float) -> None:
        """Note on now; its end is remembered."""
        patch = patch_of(strike.voice, strike.pitch, strike.variant)
        if patch.is_silent:
            return
        channel, note = self._place(strike, patch)
        self._send("note_on", channel=channel, note=note, velocity=strike.velocity)
        length = max(0.03, min(strike.length, 20.0))
        self._ends.append((when + length, channel, note))

    def release(self, now: float) -> float | None:
        """Send the note offs that are due."""
        due = [end for end in self._ends if end[0] <= now]
        self._ends = [end for end in self._ends if end[0] > now]
        for _, channel, note in due:
            self._send("note_off", channel=channel, note=note)
        return min((end[0] for end in self._ends), default=None)

    def silence(self) -> None:
        """End every note, one by one and by the channel messages."""
        for _, channel, note in self._ends:
            self._send("note_off", channel=channel, note=note)
        self._ends = []
        for channel in range(CHANNELS):
            self._send("control_change", channel=channel, control=_ALL_NOTES_OFF, value=0)
            self._send("control_change", channel=channel, control=_ALL_SOUND_OFF, value=0)

    def frame_of(self, when: float, begins: bool) -> int:
        """It hears nothing."""
        return -1

    def close(self) -> None:
        """Silence, then close the port."""
        with contextlib.suppress(OutputLost):
            self.silence()
        with contextlib.suppress(Exception):
            self._port.close()

    def _place(self, strike: Strike, patch: Patch) -> tuple[int, int]:
        if patch.is_drum:
            return _DRUMS, patch.number
        note = round(strike.pitch) if strike.pitch is not None else patch.note
        return self._channels.get((strike.player, strike.voice), 0), max(0, min(127, note))

    def _send(self, kind: str, **values: int) -> None:
        try:
            self._port.send(self._message(kind, **values))
        except Exception as error:  # whatever the port's library raises: the port is of no more use
            raise OutputLost(str(error) or type(error).__name__) from error

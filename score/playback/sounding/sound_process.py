"""The sound process and the handle the application holds of it.

The process is started ("spawn", the same everywhere) before the screen, because starting one from inside a running
Textual application fails. It owns the device. It ends when the pipe closes, however the other side went, and always
silences its output first.
"""

import contextlib
import multiprocessing
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Any

from score.playback.sound_events import Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.ears import Ears
from score.playback.sounding.midi_ports import open_port
from score.playback.sounding.punctuality import NEAR, await_moment, take_precedence
from score.playback.sounding.report_line import ReportLine
from score.playback.sounding.sound_messages import (
    Bend,
    Command,
    Listen,
    Load,
    LookForEars,
    Loop,
    Play,
    Quick,
    Quit,
    Report,
    Said,
    Silence,
    Swap,
)
from score.playback.sounding.sound_outputs import MidiPort, Output, OutputLost, Silent
from score.processes import silence_stderr, start_held

_HEARING = 0.01
"""Seconds between two looks whether a card that hears is still wanted."""


@dataclass(frozen=True, slots=True)
class Device:
    """What to sound on.

    Attributes:
        port: name of a MIDI port; "" for none.
        audio: try the sound card where no port is named.
        backend: name of a miniaudio backend to use alone ("NULL" in tests), "" for the system's own.
        quick: as short a time from order to ear as the sound card allows, for following somebody.
    """

    port: str = ""
    audio: bool = True
    backend: str = ""
    quick: bool = False


class SoundProcess:
    """The application's handle: commands out, reports in. Never blocks and never raises for a lost device.

    Args:
        device: what to sound on.
    """

    def __init__(self, device: Device | None = None) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, far = context.Pipe()
        self._process: SpawnProcess = context.Process(target=run, args=(far, device or Device()), daemon=True)
        self._far = far
        self._sending = threading.Lock()
        self._reports = ReportLine(self._pipe)

    def start(self) -> None:
        """Start the process; it opens the device while the application goes on loading."""
        start_held(self._process)
        # Our own copy of the far end must not keep the pipe open when the process dies.
        self._far.close()
        self._reports.start()

    def load(self, timeline: Timeline, loop: bool = False, gap: float = 0.0, number: int = 0) -> None:
        """Take a timeline; the number says which one the reports of time mean."""
        self._send(Load(timeline, loop, gap, number=number))

    def swap(self, timeline: Timeline, number: int = 0) -> None:
        """Go on with another making of the same route from the next beat."""
        self._send(Swap(timeline, number))

    def play(self, seconds: float = 0.0) -> None:
        """Begin."""
        self._send(Play(seconds))

    def stop(self) -> None:
        """Fall silent."""
        self._send(Silence())

    def bend(self, bend: Bend) -> None:
        """Go on in another time. May be called from any thread."""
        self._send(bend)

    def quick(self, on: bool) -> None:
        """Sound as soon after an order as the card can, or safely again; what plays stops."""
        self._send(Quick(on))

    def loop(self, on: bool, gap: float = 0.0) -> None:
        """Loop or not."""
        self._send(Loop(on, gap))

    def look_for_ears(self) -> None:
        """Ask what there is to hear a player with."""
        self._send(LookForEars())

    def listen(self, wish: Listen) -> None:
        """Hear a player by a port, a microphone or a file, or nobody."""
        self._send(wish)

    def reports(self) -> list[Report]:
        """Everything reported since the last call; empty when nothing was."""
        return self._reports.taken()

    def wake(self, call: Callable[[], None] | None) -> None:
        """Call this whenever something is reported, from a thread that must not wait; None for nothing."""
        self._reports.woken = call

    @property
    def alive(self) -> bool:
        """Whether the process runs."""
        return self._process.is_alive()

    @property
    def pid(self) -> int | None:
        """Its process id."""
        return self._process.pid

    def close(self) -> None:
        """End the process; it silences its output first."""
        self.wake(None)
        self._send(Quit())
        if self._process.pid is not None:
            self._process.join(2.0)
            if self._process.is_alive():
                self._process.terminate()
                self._process.join(1.0)
        with contextlib.suppress(OSError):
            self._pipe.close()

    def _send(self, command: Command) -> None:
        # Strokes come in on threads of their own.
        with contextlib.suppress(OSError, ValueError), self._sending:
            self._pipe.send(command)


def run(pipe: Connection, device: Device) -> None:
    """The process: open the device, then take commands and play until the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    silence_stderr()
    service = _Service(pipe, device)
    # A polite kill goes the same way as everything else: silence first.
    signal.signal(signal.SIGTERM, service.end)
    try:
        service.run()
    finally:
        service.close()


class _Service:
    """Waits for commands and deadlines in turn."""

    def __init__(self, pipe: Connection, device: Device) -> None:
        self.pipe = pipe
        self.ended = False
        self._telling = threading.Lock()
        self.ears = Ears(self.report)
        self._device = device
        self.clockwork = Clockwork(self._open(device), self.report)

    def run(self) -> None:
        """Until the other side asks to quit or is gone."""
        take_precedence()
        while not self.ended:
            wanted = self._step()
            now = time.perf_counter()
            wait = 0.5 if wanted is None else max(0.0, wanted - now - NEAR)
            try:
                while self.pipe.poll(wait):
                    self._take(self.pipe.recv())
                    wait = 0.0
            except (EOFError, OSError):
                return
            if wanted is not None and self.clockwork.playing:
                await_moment(wanted)

    def end(self, *_: Any) -> None:
        """Asked to end by a signal."""
        self.ended = True

    def close(self) -> None:
        """Silence and give the device back."""
        self.ears.close()
        self.clockwork.output.close()
        with contextlib.suppress(OSError):
            self.pipe.close()

    def report(self, report: Report) -> None:
        """Tell the other side; a port's thread may."""
        try:
            with self._telling:
                self.pipe.send(report)
        except (OSError, ValueError):
            self.ended = True

    def _step(self) -> float | None:
        if self.ears.step(self.clockwork.playing):
            self.clockwork.output.close()
            self._use(self._open(self._device))
        try:
            wanted = self.clockwork.step(time.perf_counter())
            if self.ears.hears_by_card:
                wanted = min(wanted or inf, time.perf_counter() + _HEARING)
            return wanted
        except OutputLost as error:
            self._go_on_silently(error)
            return time.perf_counter()

    def _take(self, command: Command) -> None:
        try:
            self._obey(command)
        except OutputLost as error:
            self._go_on_silently(error)

    def _obey(self, command: Command) -> None:
        now = time.perf_counter()
        match command:
            case Load(timeline, loop, gap, number):
                self.clockwork.load(timeline, loop, gap, number)
            case Swap(timeline, number):
                self.clockwork.swap(timeline, now, number)
            case Play(seconds):
                self._open_card()
                self.clockwork.play(seconds, time.perf_counter())
            case Silence():
                self.clockwork.stop()
            case Loop(on, gap):
                self.clockwork.loop, self.clockwork.gap = on, gap
            case LookForEars():
                self.ears.look()
            case Listen():
                self.ears.listen(command)
            case Bend():
                self.clockwork.bend(command)
            case Quick(on):
                self._be_quick(on)
            case Quit():
                self.ended = True

    def _open_card(self) -> None:
        """Before a pass that is to be heard: a card that hears as well, in place of the other."""
        if self.ears.wants_card:
            self.clockwork.output.close()
            self._use(self.ears.card(self._device.backend) or self._open(self._device))

    def _use(self, output: Output) -> None:
        self.clockwork.output = output
        output.load(self.clockwork.timeline.strikes)

    def _be_quick(self, on: bool) -> None:
        """The sound card is opened anew; a port and silence are quick as they are."""
        if self._device.quick == on or isinstance(self.clockwork.output, Silent | MidiPort):
            return
        self._device = replace(self._device, quick=on)
        self.clockwork.stop()
        self.clockwork.output.close()
        self._use(self._open(self._device))

    def _go_on_silently(self, error: OutputLost) -> None:
        self.clockwork.output.close()
        self.clockwork.output = Silent()
        self.report(Said(f"The sound device is lost ({error}); the clock goes on silently.", is_trouble=True))

    def _open(self, device: Device) -> Output:
        if device.port:
            try:
                return MidiPort(open_port(device.port))
            except OSError as error:
                self.report(Said(f"MIDI port {device.port!r} cannot be opened ({error}); silent.", is_trouble=True))
                return Silent()
        if device.audio:
            try:
                from score.playback.sounding.audio_output import SoundCard

                return SoundCard(device.backend, device.quick)
            except (ImportError, OSError, OutputLost) as error:
                self.report(Said(f"No sound card ({error}); the clock runs silently.", is_trouble=True))
        return Silent()

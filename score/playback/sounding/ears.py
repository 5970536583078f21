"""Ears beside the outputs of the sound process: which one is open, and what becomes of one that is lost."""

from collections.abc import Callable

from score.playback.sounding.midi_ports import input_names
from score.playback.sounding.sound_messages import EarLost, EarsFound, Listen, Report, Struck
from score.playback.sounding.stroke_ears import MidiEar


class Ears:
    """Opens and closes ears; a trouble with one is told, never raised.

    Args:
        report: told what is heard and lost; from any thread.
    """

    def __init__(self, report: Callable[[Report], None]) -> None:
        self._report = report
        self._port: MidiEar | None = None

    def look(self) -> None:
        """Tell what there is."""
        try:
            ports = input_names()
        except OSError:
            ports = ()
        self._report(EarsFound(ports))

    def listen(self, wish: Listen) -> None:
        """Hear with other ears, or with none."""
        self.close()
        if wish.port:
            try:
                self._port = MidiEar(wish.port, lambda stroke: self._report(Struck(stroke)))
            except OSError as error:
                self._report(EarLost(f"MIDI port {wish.port} cannot be opened ({error}); you practise unheard."))

    def step(self) -> None:
        """Look after what is open."""
        if self._port is not None and self._port.is_gone():
            name = self._port.port
            self.close()
            self._report(EarLost(f"MIDI port {name} has gone; the pass goes on. Plug it in and choose it again."))

    def close(self) -> None:
        """Hear nothing any more."""
        if self._port is not None:
            self._port.close()
        self._port = None

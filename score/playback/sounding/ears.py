"""Ears beside the outputs of the sound process: which one is open, and what becomes of one that is lost."""

import threading
import time
from collections.abc import Callable
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from score.errors import InbreathError
from score.playback.sounding.midi_ports import input_names
from score.playback.sounding.punctuality import go_first
from score.playback.sounding.sound_devices import microphone_names
from score.playback.sounding.sound_messages import EarLost, EarsFound, Listen, Report, Struck
from score.playback.sounding.sound_outputs import Output, OutputLost
from score.playback.sounding.stroke_ears import MidiEar

if TYPE_CHECKING:
    from score.playback.sounding.hearing_card import HearingOutput

_TAIL = 0.9
"""Seconds after a pass for which the microphone stays open, so that its last strokes are heard."""
_WAITS = 0.02
"""Seconds after which a thread that waits for sound looks whether there is still a card."""
# What to do comes first: a narrow screen shows the beginning of a line.
_NONE = "No microphone: plug one in or let your terminal use it"
_GONE = "The microphone has gone: plug it in and choose it again"


class Ears:
    """Opens and closes ears; a trouble with one is told, never raised.

    Args:
        report: told what is heard and lost; from any thread.
    """

    def __init__(self, report: Callable[[Report], None]) -> None:
        self._report = report
        self._port: MidiEar | None = None
        self._card: HearingOutput | None = None
        self._hearing: threading.Thread | None = None
        self._deaf_from = inf
        self.wish = Listen()

    def look(self) -> None:
        """Tell what there is; a thread of its own looks, for that may take longer than a stroke may wait."""
        threading.Thread(target=self._look, daemon=True).start()

    def _look(self) -> None:
        try:
            ports = input_names()
        except OSError:
            ports = ()
        self._report(EarsFound(ports, microphone_names()))

    def listen(self, wish: Listen) -> None:
        """Hear with other ears, or with none. A microphone is opened when a pass begins."""
        self.close()
        self.wish = wish
        if wish.port:
            try:
                self._port = MidiEar(wish.port, lambda stroke: self._report(Struck(stroke)))
            except OSError as error:
                self._lost(f"MIDI port {wish.port} cannot be opened: close other programs that use it ({error})")

    @property
    def wants_card(self) -> bool:
        """Whether a card, or a file that stands for one, is still to be opened for a pass."""
        return (self.wish.microphone and self._card is None) or bool(self.wish.file)

    @property
    def hears_by_card(self) -> bool:
        """Whether a card, or a file that stands for one, is open."""
        return self._card is not None

    def card(self, backend: str) -> Output | None:
        """Open what hears and plays by one clock; None where that cannot be, which is told."""
        from score.playback.sounding.hearing_card import FileEar, HearingCard

        self._card = None
        if self._hearing is not None:
            # What the card before has still to tell comes before anything of this one.
            self._hearing.join()
        try:
            self._card = FileEar(Path(self.wish.file)) if self.wish.file else HearingCard(backend)
        except InbreathError as error:
            self._lost(error.line)
        except (ImportError, OSError, OutputLost) as error:
            self._lost(f"{_NONE} ({error})")
        if self._card is not None:
            self._hearing = threading.Thread(target=self._hear, args=(self._card, self.wish), daemon=True)
            self._hearing.start()
        return self._card

    def _hear(self, card: "HearingOutput", wish: Listen) -> None:
        """Hand over what a card hears for as long as it is open, the moment it comes."""
        from score.playback.sounding.card_ear import CardEar

        # A light waits for this thread.
        go_first()
        ear = CardEar(wish, self._report)
        while self._card is card:
            ear.take(card.caught(_WAITS))
        ear.take(card.caught(0.0))
        ear.tell()

    def step(self, playing: bool) -> bool:
        """Look after what is open; gives back whether the card may be given back.

        Args:
            playing: whether a pass goes on. The microphone stays open a little after it, for its last strokes.
        """
        if self._port is not None and self._port.is_gone():
            self._lost(f"MIDI port {self._port.port} has gone: plug it in and choose it again")
        if self._card is None:
            return False
        now = time.perf_counter()
        if self._card.is_gone(now):
            self._lost(_GONE)
        # Who is not to be heard any more is not, at once.
        tail = _TAIL if self.wish.microphone or self.wish.file else 0.0
        self._deaf_from = inf if playing and tail else min(self._deaf_from, now + tail)
        if now < self._deaf_from:
            return False
        self._card, self._deaf_from = None, inf
        return True

    def close(self) -> None:
        """Hear nothing any more."""
        if self._port is not None:
            self._port.close()
        self._port, self.wish = None, Listen()

    def _lost(self, text: str) -> None:
        self.close()
        self._report(EarLost(text))

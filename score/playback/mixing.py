"""Mixing by adding templates at their offsets: the same mixer for a file and for the sound card.

Each player has a bus with a level and a place between left and right; click and breath have bus 0. Nothing is
synthesised while mixing: `warm` makes the templates, and a strike whose template was not made is left out and counted.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import cos, inf, pi, sin
from weakref import WeakValueDictionary

import numpy as np
from numpy.typing import NDArray

from score.playback.sound_events import RECORDED, Strike, Timeline
from score.playback.voices.mallet_sounds import loudness_gain
from score.playback.voices.voice_choice import voice_of
from score.playback.voices.voice_templates import Template, Templates, shared_templates, sound_key

Block = NDArray[np.float32]
"""Sound as (frames, 2): left and right."""

_Struck = tuple[int, str, float | None, str]

BLOCK = 16_384
DAMP_SECONDS = 0.03
CUT_SECONDS = 0.01


@dataclass(slots=True, eq=False, weakref_slot=True)
class Sounding:
    """One template being heard.

    Attributes:
        start: frame of its onset.
        template: the sound.
        gain: amplitude.
        fades: (frame where it begins, frames it lasts) of each fade-out; they multiply, so that a cut inside a fade
            goes on smoothly.
    """

    start: int
    template: Template
    gain: float
    fades: list[tuple[int, int]]

    def last(self) -> int:
        """First frame that is silent again."""
        return min([self.start + self.template.size, *(begin + length for begin, length in self.fades)])

    def add_to(self, bus: Block, frame: int, scratch: Block) -> None:
        """Add what of it lies in the frames from `frame` on that the bus (mono) covers."""
        first, last = max(self.start, frame), min(self.last(), frame + bus.size)
        if last <= first:
            return
        piece = scratch[: last - first]
        np.multiply(self.template[first - self.start : last - self.start], np.float32(self.gain), out=piece)
        for begin, length in self.fades:
            tail = max(first, begin)
            if last > tail:
                place = np.arange(tail - begin, last - begin, dtype=np.float32) * np.float32(pi / length)
                piece[tail - first :] *= np.float32(0.5) + np.float32(0.5) * np.cos(place)
        bus[first - frame : last - frame] += piece


@dataclass(slots=True)
class Bus:
    """One player's way to the output; a level that changes moves there over one block, so mute makes no click."""

    left: float
    right: float
    level: float = 1.0
    reached: float = 1.0


class Mixer:
    """Mixes strikes into blocks.

    Args:
        levels: gain of each bus by player number, 1.0 where none is given.
        rate: frames a second.
        templates: the cache; the process's own when None.

    Not for several threads at once: whoever mixes also strikes and cuts. `warm` alone may run in another thread.
    """

    def __init__(
        self, levels: Mapping[int, float] | None = None, rate: int = 48_000, templates: Templates | None = None
    ) -> None:
        self.rate = rate
        self.templates = shared_templates(rate) if templates is None else templates
        self.missed = 0
        self._buses: dict[int, Bus] = {}
        self._sounding: dict[int, list[Sounding]] = {}
        # Weak: what has died away must not hold its template beside the cache.
        self._latest: WeakValueDictionary[_Struck, Sounding] = WeakValueDictionary()
        self._mono = np.zeros(BLOCK, np.float32)
        self._scratch = np.zeros(BLOCK, np.float32)
        for player, level in (levels or {}).items():
            self.set_level(player, level, at_once=True)

    def warm(self, strikes: Iterable[Strike]) -> int:
        """Make the templates of strikes to come; returns how many different ones they need."""
        needed = {sound_key(blow): blow for strike in strikes for blow in _each(strike)}
        for strike in needed.values():
            self.templates.of(strike)
        return len(needed)

    def place(self, players: Iterable[int]) -> None:
        """Spread players from left to right in the order of their numbers; click and recording stay in the middle."""
        others = sorted(number for number in set(players) if number > 0)
        for index, player in enumerate(others):
            where = 0.0 if len(others) == 1 else 0.6 * (2.0 * index / (len(others) - 1) - 1.0)
            bus = self._bus(player)
            bus.left, bus.right = _pan(where)

    def set_level(self, player: int, level: float, at_once: bool = False) -> None:
        """Set a bus's gain (0 is mute); heard from the next block, without a click."""
        bus = self._bus(player)
        bus.level = level
        if at_once:
            bus.reached = level

    def strike(self, strike: Strike, frame: int) -> bool:
        """Let a strike sound from an absolute frame on; False when its template was not made in time.

        Strikes come in the order of their frames. An earlier one on the same bar or head dies under it. A variant of
        several places ("E4+G4": two drums at once) sounds as so many strikes.
        """
        sounded = [self._strike(blow, frame) for blow in _each(strike)]
        return all(sounded)

    def _strike(self, strike: Strike, frame: int) -> bool:
        template = self.templates.peek(sound_key(strike))
        if template is None:
            self.missed += 1
            return False
        sounding = Sounding(frame, template, loudness_gain(strike.velocity), fades=[])
        if strike.damped and strike.length < inf:
            sounding.fades.append((frame + round(strike.length * self.rate), round(DAMP_SECONDS * self.rate)))
        self._replace(strike, sounding)
        self._sounding.setdefault(strike.player, []).append(sounding)
        self._bus(strike.player)
        return True

    def cut(self, frame: int, player: int | None = None, seconds: float = CUT_SECONDS) -> None:
        """Fade out all that sounds (of one bus, or of all) from a frame on; what begins after it is dropped."""
        fade = max(2, round(seconds * self.rate))
        for number, soundings in self._sounding.items():
            if player not in (None, number):
                continue
            soundings[:] = [sounding for sounding in soundings if sounding.start < frame]
            for sounding in soundings:
                if (frame, fade) not in sounding.fades:
                    sounding.fades.append((frame, fade))

    @property
    def active(self) -> int:
        """How many templates are being heard or about to be."""
        return sum(map(len, self._sounding.values()))

    def mix_into(self, block: Block, frame: int) -> None:
        """Add the frames from `frame` on to a block of shape (frames, 2), at most `BLOCK` frames."""
        size = len(block)
        for player, soundings in self._sounding.items():
            bus = self._buses[player]
            if soundings and (bus.level or bus.reached):
                mono = self._mono[:size]
                mono[:] = 0.0
                for sounding in soundings:
                    sounding.add_to(mono, frame, self._scratch)
                _ramp(mono, bus)
                block[:, 0] += np.float32(bus.left) * mono
                block[:, 1] += np.float32(bus.right) * mono
            bus.reached = bus.level
            soundings[:] = [sounding for sounding in soundings if sounding.last() > frame + size]

    def _bus(self, player: int) -> Bus:
        return self._buses.setdefault(player, Bus(*_pan(0.0)))

    def _replace(self, strike: Strike, sounding: Sounding) -> None:
        same = strike.player, strike.voice, strike.pitch, strike.variant
        earlier = self._latest.get(same)
        if earlier is not None and earlier.start < sounding.start < earlier.last():
            overlap = voice_of(strike.voice, strike.pitch is not None).overlap
            earlier.fades.append((sounding.start, max(2, round(overlap * self.rate))))
        self._latest[same] = sounding


def render(
    timeline: Timeline,
    levels: Mapping[int, float] | None = None,
    rate: int = 48_000,
    templates: Templates | None = None,
) -> Iterator[Block]:
    """A whole timeline as blocks of shape (up to 16,384, 2), as many frames as it has seconds (rounded).

    Strikes at level 0 are not made. What still rings at the end is faded out there. Peaks may exceed 1: see
    `score.playback.loudness` for files and `limited` for the sound card.
    """
    mixer = Mixer(levels, rate, templates)
    audible = [strike for strike in timeline.strikes if (levels or {}).get(strike.player, 1.0) > 0.0]
    mixer.place(strike.player for strike in timeline.strikes)
    total = round(timeline.seconds * rate)
    mixer_end, upcoming = max(0, total - round(DAMP_SECONDS * rate)), 0
    for frame in range(0, total, BLOCK):
        size = min(BLOCK, total - frame)
        while upcoming < len(audible) and (start := round(audible[upcoming].seconds * rate)) < frame + size:
            mixer.warm(audible[upcoming : upcoming + 1])
            mixer.strike(audible[upcoming], start)
            upcoming += 1
        if frame + size > mixer_end:
            mixer.cut(mixer_end, seconds=DAMP_SECONDS)
        block = np.zeros((size, 2), np.float32)
        mixer.mix_into(block, frame)
        yield block


def limited(block: Block, master: float = 0.5, knee: float = 0.7) -> Block:
    """A block for the sound card, always under 1: a fixed gain, and a smooth bend above the knee; in place."""
    block *= np.float32(master)
    loud = np.abs(block) > knee
    if loud.any():
        over = (np.abs(block[loud]) - knee) / (1.0 - knee)
        block[loud] = np.sign(block[loud]) * (knee + (0.999 - knee) * np.tanh(over))
    return block


def _each(strike: Strike) -> list[Strike]:
    if strike.pitch is not None or "+" not in strike.variant or strike.voice == RECORDED:
        return [strike]
    return [replace(strike, variant=variant) for variant in strike.variant.split("+")]


def _pan(where: float) -> tuple[float, float]:
    angle = (where + 1.0) * pi / 4.0
    return cos(angle), sin(angle)


def _ramp(mono: Block, bus: Bus) -> None:
    if bus.level == bus.reached:
        if bus.level != 1.0:
            mono *= np.float32(bus.level)
        return
    mono *= np.linspace(bus.reached, bus.level, mono.size, dtype=np.float32)

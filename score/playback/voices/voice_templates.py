"""Sounds made once and kept: the cache of templates that the mixer adds up."""

import threading
from collections import OrderedDict
from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from score.playback.recorded_cuts import cut_sound
from score.playback.sound_events import RECORDED, Strike
from score.playback.voices.bar_sizes import steps
from score.playback.voices.mallet_sounds import (
    contact_seconds,
    hardness_layer,
    let_through,
    of_layers,
    velocity_layer,
)
from score.playback.voices.modal_synthesis import Sine, breath, noise, sines
from score.playback.voices.voice_choice import resolved, voice_of
from score.playback.voices.voice_model import Partial, Voice, hertz

Template = NDArray[np.float32]
DEFAULT_CAP = 96 * 2**20
"""Bytes of sound kept at most."""

MOTOR_HZ = 5.5
"""Turns of a vibraphone's motor a second (common practice, no source)."""

_RMS, _PEAK = 0.14, 0.5
_BREATH_STEP = 0.02


@dataclass(frozen=True, slots=True)
class SoundKey:
    """All that tells one template from another.

    Attributes:
        voice: key of the voice that sounds.
        pitch: sounding MIDI number, hundredths kept.
        hardness: layer of `mallets`.
        velocity: layer of `mallets`.
        motor: the vibraphone's motor runs.
        seconds: length of a breath; 0 for what is struck.
        cut: which cut of a recording; "" for what is synthesised.
    """

    voice: str
    pitch: float
    hardness: int
    velocity: int
    motor: bool = False
    seconds: float = 0.0
    cut: str = ""


def sound_key(strike: Strike) -> SoundKey:
    """The template a strike needs."""
    if strike.voice == RECORDED:
        return SoundKey(RECORDED, 0.0, 0, velocity=0, cut=strike.variant)
    key = resolved(strike.voice, strike.pitch is not None)
    if key == "breath":
        steps_long = max(5, min(400, round(min(strike.length, 8.0) / _BREATH_STEP)))
        return SoundKey(key, 0.0, 0, velocity=0, seconds=steps_long * _BREATH_STEP)
    voice = voice_of(key, strike.pitch is not None)
    pitch = strike.pitch
    if pitch is None:
        pitch = voice.pitch + voice.step * steps(strike.variant)
    motor = key == "vibraphone" and "motor" in strike.variant
    hardness, velocity = hardness_layer(strike.hardness), velocity_layer(strike.velocity)
    return SoundKey(key, round(min(127.0, max(0.0, pitch)), 2), hardness, velocity=velocity, motor=motor)


def synthesise(key: SoundKey, rate: int) -> Template:
    """The sound of a key, one blow at velocity 127: float32, shape (frames,), the same at every call.

    Its loudest tenth of a second has an RMS of 0.14 (before the voice's own level) unless that peaks over 0.5.
    """
    if key.cut:
        return cut_sound(key.cut, rate)
    if key.voice == "breath":
        return _levelled(breath(key.seconds, rate, 17), voice_of("breath", False).level, rate)
    voice = voice_of(key.voice, True)
    sound = _one(voice, key, rate) if not voice.grains else _grains(voice, key, rate)
    _fade_ends(sound, rate)
    return _levelled(sound, voice.level, rate)


class Templates:
    """Templates of one sampling rate, the longest unused forgotten when they take more than `cap` bytes.

    May be used from several threads; `peek` never makes a sound and so is fit for an audio callback.
    """

    def __init__(self, rate: int = 48_000, cap: int = DEFAULT_CAP) -> None:
        self.rate = rate
        self.cap = cap
        self.bytes = 0
        self._kept: OrderedDict[SoundKey, Template] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._kept)

    def of(self, strike: Strike) -> Template:
        """The strike's template, made now when it is not kept."""
        key = sound_key(strike)
        kept = self.peek(key)
        return self._keep(key, synthesise(key, self.rate)) if kept is None else kept

    def peek(self, key: SoundKey) -> Template | None:
        """A template that is kept, or None."""
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
            return kept

    def _keep(self, key: SoundKey, template: Template) -> Template:
        template.flags.writeable = False
        with self._lock:
            old = self._kept.pop(key, None)
            self._kept[key] = template
            self.bytes += template.nbytes - (0 if old is None else old.nbytes)
            while self.bytes > self.cap and len(self._kept) > 1:
                self.bytes -= self._kept.popitem(last=False)[1].nbytes
        return template


@lru_cache(maxsize=4)
def shared_templates(rate: int) -> Templates:
    """The templates of this process at a rate."""
    return Templates(rate)


def template(strike: Strike, rate: int = 48_000) -> Template:
    """The sound of a strike at velocity 127, read-only, from the process's own cache."""
    return shared_templates(rate).of(strike)


def _one(voice: Voice, key: SoundKey, rate: int) -> Template:
    frequency = hertz(key.pitch)
    hardness, velocity = of_layers(key.hardness, key.velocity)
    contact = contact_seconds(hardness, velocity)
    parts = [sine for partial in voice.partials for sine in _sines(partial, voice, frequency, contact, key.motor)]
    parts = [sine for sine in parts if sine.hertz < 0.45 * rate]
    # Hiss and knock belong to the hard and the loud blow, as the high partials do.
    edge = (0.4 + 1.2 * hardness) * (velocity / 64.0) ** 0.5 if parts else 1.0
    bands = [replace(band, gain=band.gain * edge) for band in voice.noise]
    longest = max([sine.t60 for sine in parts] + [band.t60 + 3.0 * band.rise for band in bands])
    frames = round(min(longest, voice.longest) * rate)
    sound = sines(parts, frames, rate)
    seed = crc32(f"{key.voice} {key.pitch}".encode())
    for place, band in enumerate(bands):
        hiss = noise(band, frames, rate, seed + place)
        sound[: hiss.size] += hiss
    if parts:
        # The mallet pushes for as long as it touches: no edge at the onset, softer with softer mallets.
        push = max(2, round(0.5 * contact * rate))
        sound[:push] *= 0.5 - 0.5 * np.cos(pi * np.arange(sound[:push].size) / push)
    return sound


def _sines(partial: Partial, voice: Voice, nominal: float, contact: float, motor: bool) -> list[Sine]:
    base = voice.partials[0].ratio * nominal
    frequency = partial.ratio * nominal
    gain = partial.gain * min(4.0, let_through(frequency, contact) / let_through(base, contact))
    t60 = max(0.01, voice.decay(nominal) * partial.decay)
    sines = [Sine(frequency, gain, t60)]
    if partial.rise > 0.0:
        # 1 - exp(-t / rise) times a decay is a difference of two decays.
        sines.append(Sine(frequency, -gain, 1.0 / (1.0 / t60 + 1.0 / (6.9 * partial.rise))))
    if partial.beat > 0.0:
        sines += [Sine(sine.hertz + partial.beat, 0.3 * sine.gain, sine.t60) for sine in sines]
    if motor and partial.ratio == 1.0:
        # The discs open and close the resonators, which answer the fundamental alone: two side tones.
        sines += [Sine(frequency + turn, 0.2 * gain, t60) for turn in (-MOTOR_HZ, MOTOR_HZ)]
    return sines


def _grains(voice: Voice, key: SoundKey, rate: int) -> Template:
    single = replace(voice, grains=())
    burst = [
        (round(grain.seconds * rate), grain.gain * _one(single, replace(key, pitch=key.pitch + grain.semitones), rate))
        for grain in voice.grains
    ]
    sound = np.zeros(max(start + blow.size for start, blow in burst), np.float32)
    for start, blow in burst:
        _fade_ends(blow, rate)
        sound[start : start + blow.size] += blow
    return sound


def _fade_ends(sound: Template, rate: int) -> None:
    start = min(sound.size, max(2, round(0.0003 * rate)))
    sound[:start] *= np.linspace(0.0, 1.0, start, dtype=np.float32)
    end = min(sound.size, max(round(0.005 * rate), sound.size // 6))
    place = np.linspace(1.0, 0.0, end, dtype=np.float32)
    sound[-end:] *= place * place * (3.0 - 2.0 * place)


def _levelled(sound: Template, level: float, rate: int) -> Template:
    window = max(1, round(0.1 * rate))
    # What is loudest comes in the first second, slow swells included.
    head = sound[: 10 * window]
    power = np.add.reduceat(head * head, np.arange(0, head.size, window)) / window
    loud, peak = float(np.sqrt(power.max())), float(max(head.max(), -head.min()))
    scale = min(_RMS / max(loud, 1e-12), _PEAK / max(peak, 1e-12))
    return np.asarray(sound * np.float32(scale * 10.0 ** (level / 20.0)), np.float32)

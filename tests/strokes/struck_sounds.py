"""Struck instruments for tests, written apart from the product's own voices: partials with decays, drums of noise.

Modes of a marimba bar stand at 1, 4 and 10 (Bork, 1995, tuned bars), of a vibraphone bar too, with longer decays, of a
circular membrane at the zeros of the Bessel functions (1, 1.594, 2.136, 2.296, 2.653, 2.918).
"""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

RATE = 48_000
Sound = NDArray[np.float32]


class Blow(NamedTuple):
    """One sounding stroke."""

    seconds: float
    pitch: float
    strength: float = 0.7
    voice: str = "marimba"


MODES = {
    "marimba": ((1.0, 1.0, 0.45), (4.0, 0.35, 0.09), (10.0, 0.18, 0.03)),
    "vibraphone": ((1.0, 1.0, 1.8), (4.0, 0.3, 0.5), (10.0, 0.1, 0.1)),
    "tom": ((1.0, 1.0, 0.2), (1.594, 0.6, 0.12), (2.136, 0.5, 0.09), (2.296, 0.3, 0.08), (2.653, 0.3, 0.06)),
    "click": ((1.0, 1.0, 0.012), (2.7, 0.6, 0.008)),
}


def struck(voice: str, pitch: float, strength: float, rng: np.random.Generator) -> Sound:
    """One blow, from its first sample on."""
    if voice == "snare":
        time = np.arange(int(0.25 * RATE)) / RATE
        rattle = rng.standard_normal(time.size) * np.exp(-time / 0.05)
        head = np.sin(2 * np.pi * 190 * time) * np.exp(-time / 0.04)
        return np.asarray(strength * (0.5 * rattle + head), np.float32)
    base = 440 * 2 ** ((pitch - 69) / 12)
    longest = max(decay for _, _, decay in MODES[voice]) * (220 / base) ** 0.4
    time = np.arange(int(min(2.0, 5 * longest) * RATE)) / RATE
    sound = np.zeros(time.size)
    for ratio, gain, decay in MODES[voice]:
        if ratio * base < 0.45 * RATE:
            tilt = gain * strength ** (0.3 * (ratio > 1))
            ring = np.exp(-time / (decay * (220 / base) ** 0.4))
            sound += tilt * np.sin(2 * np.pi * ratio * base * time) * ring
    contact = rng.standard_normal(int(0.004 * RATE)) * np.exp(-np.arange(int(0.004 * RATE)) / (0.001 * RATE))
    sound[: contact.size] += 0.15 * contact
    sound *= np.minimum(1.0, time / 0.0005) * strength
    # Stopped with a hand, not cut.
    damped = sound[-int(0.1 * RATE) :]
    damped *= 0.5 + 0.5 * np.cos(np.linspace(0, np.pi, damped.size))
    return sound.astype(np.float32)


def sounded(blows: Iterable[Blow], seconds: float, rng: np.random.Generator) -> Sound:
    """All blows in one recording."""
    sound = np.zeros(int(seconds * RATE), np.float32)
    for blow in blows:
        start = round(blow.seconds * RATE)
        if 0 <= start < sound.size:
            ring = struck(blow.voice, blow.pitch, blow.strength, rng)[: sound.size - start]
            sound[start : start + ring.size] += ring
    return sound


def room(rng: np.random.Generator, reverberation: float = 0.4, direct_over_room_db: float = 6.0) -> Sound:
    """An impulse response: the direct sound, then noise that decays by 60 dB in `reverberation` seconds."""
    time = np.arange(int(0.6 * RATE)) / RATE
    tail = rng.standard_normal(time.size) * 10 ** (-3 * time / reverberation)
    tail[: int(0.002 * RATE)] = 0
    tail *= 10 ** (-direct_over_room_db / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1
    return np.asarray(tail, np.float32)


def through(sound: Sound, response: Sound) -> Sound:
    """A sound in a room, of its own length."""
    size = 1 << int(np.ceil(np.log2(len(sound) + len(response))))
    heard = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)
    return np.asarray(heard[: len(sound)], np.float32)


def noise(rng: np.random.Generator, frames: int) -> Sound:
    """Noise of a room: more below than above, root mean square 1."""
    size = 1 << int(np.ceil(np.log2(max(2, frames))))
    white = np.fft.rfft(rng.standard_normal(size))
    pitch = np.fft.rfftfreq(size, 1 / RATE)
    shaped = np.fft.irfft(white / np.sqrt(1 + (pitch / 400) ** 2), size)[:frames]
    return np.asarray(shaped / shaped.std(), np.float32)


def active_level(sound: Sound) -> float:
    """Root mean square of the tenths of a second in which something sounds."""
    blocks = sound[: sound.size // 4800 * 4800].reshape(-1, 4800)
    levels = np.sqrt(np.mean(blocks**2, axis=1))
    return float(np.sqrt(np.mean(levels[levels > 0.05 * levels.max()] ** 2)))

"""Struck instruments from recorded samples: those of the General MIDI font that pretty_midi brings along.

The SoundFont 2.04 specification: sample data lie in the chunk ``smpl``, their ends, loops and rates in ``shdr``.
"""

import struct
from collections.abc import Iterable
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

import numpy as np

from tests.strokes.struck_sounds import RATE, Blow, Sound

NAMES = {
    "marimba": ("Marimba C2", "Marimba C3", "Marimba C6"),
    "vibraphone": ("Vibes E3", "Vibes D4", "Vibes D6"),
    "snare": ("Snare 1",),
    "tom": ("Acoustic Tom",),
    "click": ("Wood Block",),
}
_LOOPED = ("Marimba", "Vibes")
RING = {"marimba": 0.5, "vibraphone": 1.2}


class Sample(NamedTuple):
    """One recorded sample; `pitch` is that of its loop, a MIDI number."""

    frames: Sound
    loop: Sound
    rate: int
    pitch: float


@cache
def samples() -> dict[str, Sample]:
    """All samples by name."""
    origin = find_spec("pretty_midi")
    assert origin is not None
    assert origin.origin is not None
    font = (Path(origin.origin).parent / "TimGM6mb.sf2").read_bytes()
    sound = np.asarray(np.frombuffer(_chunk(font, b"smpl"), "<i2") / 32768, np.float32)
    heads = _chunk(font, b"shdr")
    by_name = {}
    for start in range(0, len(heads), 46):
        name = heads[start : start + 20].split(b"\0")[0].decode("latin1")
        first, last, loop, loop_end, rate = struct.unpack("<5I", heads[start + 20 : start + 40])
        if loop_end > loop and last > first:
            tone = sound[loop:loop_end]
            body = sound[first : loop_end if name.startswith(_LOOPED) else last]
            by_name[name] = Sample(body, tone, rate, pitch=_pitch(tone, rate))
    return by_name


def _chunk(font: bytes, name: bytes) -> bytes:
    at = font.index(name, font.index(b"sdta") if name == b"smpl" else font.rindex(b"pdta"))
    (size,) = struct.unpack("<I", font[at + 4 : at + 8])
    return font[at + 8 : at + 8 + size]


def _pitch(loop: Sound, rate: int) -> float:
    tiled = np.resize(loop, 1 << 16)
    spectrum = np.abs(np.fft.rfft(tiled * np.hanning(tiled.size), 1 << 20))
    spectrum[: int(60 / rate * (1 << 20))] = 0
    return float(69 + 12 * np.log2(np.argmax(spectrum) * rate / (1 << 20) / 440))


@cache
def note(voice: str, pitch: int) -> Sound:
    """A sample at a pitch, from its attack on, its loop left to die away."""
    is_tuned = voice in RING
    sample = min((samples()[name] for name in NAMES[voice]), key=lambda s: abs(s.pitch - pitch) if is_tuned else 0.0)
    frames = sample.frames
    if is_tuned:
        frames = np.concatenate([frames, np.resize(sample.loop, int(1.5 * sample.rate))])
    up = 2 ** ((pitch - sample.pitch) / 12) if is_tuned else 1.0
    places = np.arange(0, len(frames) - 1, sample.rate / RATE * up)
    sound = np.interp(places, np.arange(len(frames)), frames)
    if is_tuned:
        ring = RING[voice] * (220 / (440 * 2 ** ((pitch - 69) / 12))) ** 0.4
        sound = (sound * np.exp(-np.arange(sound.size) / RATE / ring))[: int(min(2.0, 4 * ring) * RATE)]
    attack = int(np.argmax(np.abs(sound) > 0.03 * np.abs(sound[:7200]).max()))
    sound = sound[attack:].copy()
    damped = sound[-4800:]
    damped *= 0.5 + 0.5 * np.cos(np.linspace(0, np.pi, damped.size))
    return np.asarray(sound / np.abs(sound).max(), np.float32)


def sampled(blows: Iterable[Blow], seconds: float, rng: np.random.Generator) -> Sound:
    """All blows in one recording."""
    del rng
    sound = np.zeros(int(seconds * RATE), np.float32)
    for blow in blows:
        start = round(blow.seconds * RATE)
        ring = note(blow.voice, round(blow.pitch))[: max(0, sound.size - start)]
        if start >= 0:
            sound[start : start + ring.size] += blow.strength * ring
    return sound

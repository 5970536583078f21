"""A second synthesizer, not the product's: partials and noise, a room, speech, applause. Written for these tests."""

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, fftconvolve, sosfilt

from tests.recording.performances import Played

RATE = 44_100
Sound = NDArray[Any]

# Ratios, sizes and seconds to -60 dB of partials. Bars: tuned 1 : 4 : 10 as handbooks of acoustics give them
# (Fletcher & Rossing, The Physics of Musical Instruments, ch. 19); others from memory.
_BARS = {
    "marimba": ((1, 4, 10), (1, 0.35, 0.12), (1.6, 0.35, 0.1)),
    "vibraphone": ((1, 4, 10), (1, 0.25, 0.1), (5.0, 1.5, 0.3)),
    "xylophone": ((1, 3, 6), (1, 0.5, 0.25), (0.6, 0.25, 0.1)),
    "crotales": ((1, 2.7, 5.2), (1, 0.5, 0.3), (6.0, 3.0, 1.5)),
    "": ((1, 2, 3, 4, 5, 6, 7), (1, 0.6, 0.45, 0.3, 0.2, 0.14, 0.1), (3.0, 2.5, 2.0, 1.8, 1.5, 1.2, 1.0)),
}
_SKINS = {"bass-drum": 62.0, "tom-toms": 140.0, "snare-drum": 190.0, "bongos": 330.0, "congas": 220.0}
_STEPS = {letter: step for step, letter in enumerate("CDEFGAB")}


def render(sounds: Iterable[Played], seconds: float, cents: float = 0.0, rate: int = RATE, seed: int = 0) -> Sound:
    """Everything that is played; mono."""
    rng = np.random.default_rng(seed)
    mix = np.zeros(int(seconds * rate) + rate * 8, np.float32)
    for sound in sounds:
        wave = _wave(sound, cents, rate, rng)
        start = max(0, round(sound.seconds * rate))
        wave = wave[: max(0, len(mix) - start)]
        mix[start : start + len(wave)] += wave * (sound.velocity / 127) ** 1.6
    return mix[: int(seconds * rate)]


def _wave(sound: Played, cents: float, rate: int, rng: np.random.Generator) -> Sound:
    if sound.pitch is None:
        return _struck(sound, rate, rng)
    pitched = 440 * 2 ** ((sound.pitch - 69 + cents / 100) / 12)
    ratios, sizes, rings = _BARS.get(sound.instrument, _BARS[""])
    held = sound.instrument in _BARS and sound.instrument != ""
    length = min(5.0, rings[0] * (1.0 if not held else 2 ** ((60 - sound.pitch) / 24)) if held else sound.length + 0.25)
    time = np.arange(int(length * rate)) / rate
    wave = np.zeros(len(time))
    for ratio, size, ring in zip(ratios, sizes, rings, strict=True):
        if pitched * ratio < rate * 0.45:
            dies = ring if not held else ring * 2 ** ((60 - sound.pitch) / 24)
            wave += (
                size * np.sin(2 * np.pi * pitched * ratio * time + rng.uniform(0, 6.28)) * np.exp(-6.9 * time / dies)
            )
    if held:
        knock = rng.normal(0, 0.3, min(len(time), int(0.012 * rate)))
        wave[: len(knock)] += knock * np.exp(-np.arange(len(knock)) / (0.003 * rate))
        rise = np.minimum(1, time / 0.001)
    else:
        rise = np.minimum(1, time / 0.02) * np.clip((length - time) / 0.2, 0, 1)
    return np.asarray(0.2 * wave * rise, np.float32)


def _struck(sound: Played, rate: int, rng: np.random.Generator) -> Sound:
    key = sound.instrument
    if key in _SKINS:
        return _skin(_SKINS[key] * _height(sound.place), key == "snare-drum", rate, rng)
    if key in ("wood-block", "temple-blocks", "claves"):
        return _ring((900.0 * _height(sound.place), 1900.0, 2800.0), 0.08, 0.3, rate, rng)
    if key == "triangle":
        return _ring((1900.0, 3700.0, 5400.0, 7100.0), 2.0, 0.1, rate, rng)
    if "cymbal" in key:
        return _noise(3000, 12_000, 1.8, 0.002, rate, rng)
    if key in ("tam-tam", "gong"):
        return _noise(150, 4000, 4.0, 0.03, rate, rng) + _ring((110.0, 187.0, 263.0), 4.0, 0.0, rate, rng)
    return _noise(500, 6000, 0.1, 0.001, rate, rng)


def _height(place: str) -> float:
    if len(place) < 2:
        return 1.0
    steps = _STEPS[place[0]] + 7 * int(place[-1])
    return float(2 ** ((steps - 34) / 14))


def _skin(first: float, snares: bool, rate: int, rng: np.random.Generator) -> Sound:
    wave = _ring((first, first * 1.59, first * 2.14, first * 2.3), 0.5, 0.4, rate, rng)
    if snares:
        buzz = _noise(1500, 9000, 0.2, 0.001, rate, rng)
        wave[: len(buzz)] += 0.8 * buzz
    return wave


def _ring(partials: tuple[float, ...], dies: float, knock: float, rate: int, rng: np.random.Generator) -> Sound:
    time = np.arange(int(max(0.3, dies * 1.1) * rate)) / rate
    wave = sum(
        np.sin(2 * np.pi * part * time + rng.uniform(0, 6.28)) * np.exp(-6.9 * time / dies) / (1 + number)
        for number, part in enumerate(partials)
    )
    blow = rng.normal(0, knock + 1e-9, len(time)) * np.exp(-time / 0.004)
    return np.asarray(0.25 * (np.asarray(wave) + blow) * np.minimum(1, time / 0.0008), np.float32)


def _noise(low: float, high: float, dies: float, rise: float, rate: int, rng: np.random.Generator) -> Sound:
    time = np.arange(int(dies * 1.1 * rate)) / rate
    shape = butter(2, (low, min(high, rate * 0.45)), "bandpass", fs=rate, output="sos")
    wave = sosfilt(shape, rng.normal(0, 1, len(time))) * np.exp(-6.9 * time / dies) * np.minimum(1, time / rise)
    return np.asarray(0.25 * wave, np.float32)


def room(sound: Sound, seconds: float = 1.5, wet: float = 0.5, rate: int = RATE, seed: int = 5) -> Sound:
    """A reverberant room: noise that dies away, duller with time."""
    rng = np.random.default_rng(seed)
    time = np.arange(int(seconds * 1.2 * rate)) / rate
    answer = rng.normal(0, 1, len(time)) * np.exp(-6.9 * time / seconds)
    answer = sosfilt(butter(1, 5000, "low", fs=rate, output="sos"), answer)
    answer[: int(0.008 * rate)] = 0
    answer /= np.sqrt((answer**2).sum())
    reverberated = fftconvolve(sound, answer)[: len(sound)]
    gain = np.sqrt((sound**2).mean() / ((reverberated**2).mean() + 1e-20))
    return np.asarray((1 - wet) * sound + wet * gain * reverberated, np.float32)


def speech(seconds: float, rate: int = RATE, seed: int = 0) -> Sound:
    """Syllables: a buzzing voice through moving formants, with consonants and pauses."""
    rng = np.random.default_rng(seed)
    mix = np.zeros(int(seconds * rate), np.float32)
    second = 0.2
    base = float(rng.uniform(95, 210))
    while second < seconds - 0.4:
        length = float(rng.uniform(0.09, 0.28))
        time = np.arange(int(length * rate)) / rate
        glide = base * 2 ** (rng.normal(0, 0.2) + rng.normal(0, 0.15) * time / length)
        buzz = np.sign(np.sin(np.cumsum(2 * np.pi * glide / rate)) - 0.9) + 0.9
        voice = np.zeros(len(time))
        for formant in (rng.uniform(300, 800), rng.uniform(900, 2200), rng.uniform(2300, 3200)):
            sos = butter(1, (formant * 0.9, formant * 1.1), "bandpass", fs=rate, output="sos")
            voice += sosfilt(sos, buzz)
        voice *= np.hanning(len(time)) * rng.uniform(0.4, 1)
        if rng.random() < 0.6:
            hiss = rng.normal(0, 0.15, int(0.05 * rate))
            voice[: len(hiss)] += hiss[: len(voice)] * np.hanning(len(hiss))[: len(voice)]
        start = int(second * rate)
        mix[start : start + len(voice)] += voice[: len(mix) - start].astype(np.float32)
        second += length + (float(rng.uniform(0.3, 0.9)) if rng.random() < 0.15 else float(rng.uniform(0, 0.06)))
    return np.asarray(0.35 * mix / (np.abs(mix).max() + 1e-9), np.float32)


def applause(seconds: float, rate: int = RATE, seed: int = 0) -> Sound:
    """Many hands, none together."""
    rng = np.random.default_rng(seed)
    mix = np.zeros(int(seconds * rate), np.float32)
    for start in rng.integers(0, max(1, len(mix) - 2000), int(seconds * 130)):
        clap = rng.normal(0, 1, 700) * np.exp(-np.arange(700) / 130) * rng.uniform(0.2, 1)
        mix[start : start + 700] += clap.astype(np.float32)
    return np.asarray(0.4 * mix / (np.abs(mix).max() + 1e-9), np.float32)


def claps(beats: int, quarters_per_minute: float, rate: int = RATE, seed: int = 1) -> Sound:
    """A count-in."""
    rng = np.random.default_rng(seed)
    gap = round(60 / quarters_per_minute * rate)
    mix = np.zeros(beats * gap, np.float32)
    for beat in range(beats):
        mix[beat * gap : beat * gap + 900] += (rng.normal(0, 0.4, 900) * np.exp(-np.arange(900) / 200)).astype(
            np.float32
        )
    return mix


def noisy(sound: Sound, decibels: float = 30.0, seed: int = 0) -> Sound:
    """With a room's noise so many dB under the music, levelled to .9."""
    rng = np.random.default_rng(seed)
    level = np.sqrt((sound**2).mean()) * 10 ** (-decibels / 20)
    heard = sound + rng.normal(0, level, len(sound)).astype(np.float32)
    return np.asarray(0.9 * heard / np.abs(heard).max(), np.float32)

"""Onsets of struck sounds, whole and live, measured as onset detectors are: mir_eval's F-measure (Raffel, 2014)."""

import mir_eval
import numpy as np
import pytest

from score.strokes.live_onsets import LiveOnsets
from score.strokes.onsets import LIKELY, onsets
from score.strokes.spectral_rise import HOP, loudness, rises, spectra
from tests.strokes.struck_sounds import RATE, Blow, Sound, active_level, noise, sounded


def struck_at_random(seed: int, voice: str, low: int, high: int) -> tuple[list[float], Sound]:
    """Twenty-five strokes and their recording, noise 30 dB under them."""
    rng = np.random.default_rng(seed)
    moments = 0.4 + np.cumsum(rng.uniform(0.11, 0.4, 25))
    blows = [Blow(float(m), int(rng.integers(low, high)), float(rng.uniform(0.4, 0.9)), voice) for m in moments]
    sound = sounded(blows, float(moments[-1]) + 0.5, rng)
    heard = sound / active_level(sound) + noise(rng, len(sound)) * 10 ** (-30 / 20)
    return [float(moment) for moment in moments], np.asarray(0.1 * heard, np.float32)


@pytest.mark.parametrize(("voice", "low", "high"), [("marimba", 45, 85), ("vibraphone", 55, 85), ("snare", 60, 61)])
def test_strokes_are_heard_within_ten_milliseconds(voice: str, low: int, high: int) -> None:
    moments, sound = struck_at_random(110, voice, low, high)
    bands = spectra(sound)
    heard = np.array([onset.seconds for onset in onsets(rises(bands, loudness(bands)), LIKELY)])
    assert mir_eval.onset.f_measure(np.array(moments), heard, window=0.05)[0] >= 0.98
    assert mir_eval.onset.f_measure(np.array(moments), heard, window=0.01)[0] >= 0.97
    off = np.array([heard[np.argmin(np.abs(heard - moment))] - moment for moment in moments])
    off = off[np.abs(off) < 0.05]
    assert abs(np.median(off)) <= 0.0015
    assert off.std() <= 0.003


def test_a_light_comes_within_25_milliseconds_of_its_stroke() -> None:
    moments, sound = struck_at_random(111, "marimba", 50, 85)
    ear = LiveOnsets()
    told = [(onset, k + HOP) for k in range(0, len(sound), HOP) for onset in ear.fed(sound[k : k + HOP])]
    heard = np.array([onset.seconds for onset, _ in told])
    assert mir_eval.onset.f_measure(np.array(moments), heard, window=0.01)[0] >= 0.97
    assert max(frames / RATE - onset.seconds for onset, frames in told) <= 0.025


def test_silence_and_steady_noise_hold_no_strokes() -> None:
    rng = np.random.default_rng(112)
    hiss = np.asarray(0.01 * noise(rng, 2 * RATE), np.float32)
    bands = spectra(hiss)
    assert not onsets(rises(bands, 20 * loudness(bands)), LIKELY)
    assert not onsets(rises(spectra(np.zeros(RATE, np.float32)), 1.0))
    assert not [onset for k in range(0, len(hiss), 500) for onset in LiveOnsets().fed(hiss[k : k + 500])]


def test_blocks_of_any_size_say_the_same() -> None:
    _, sound = struck_at_random(113, "vibraphone", 60, 80)
    ways = []
    for size in (100, len(sound)):
        ear = LiveOnsets(level=0.003)
        ways.append([onset for k in range(0, len(sound), size) for onset in ear.fed(sound[k : k + size])])
    assert ways[0] == ways[1]
    assert len(ways[0]) >= 23

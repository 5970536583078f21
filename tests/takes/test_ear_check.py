"""The check of a microphone, with rooms made for it: what it measures, and what it says would help."""

from functools import cache

import numpy as np
import pytest

from score.playback.mixing import render
from score.strokes.spectral_rise import RATE, Samples
from score.takes.ear_check import CLICKS_SECONDS, QUIET_SECONDS, check_ear, check_timeline
from score.takes.live_sound import CaughtBlock


@cache
def sent() -> Samples:
    return np.asarray(np.concatenate(list(render(check_timeline(), None, RATE))).mean(axis=1), np.float32)


def room(
    noise: float = 1e-3, bleed: float = 0.3, delay: float = 0.0643, strokes: float = 0.3, clip: float = 9.0
) -> CaughtBlock:
    """What a microphone has of the check: noise, the clicks later and softer, five strokes that die away."""
    size = len(sent())
    heard = np.random.default_rng(3).normal(0.0, noise, size) if noise else np.zeros(size)
    late = round(delay * RATE)
    heard[late:] += bleed * sent()[: size - late]
    tail = np.exp(-np.arange(RATE // 2) / (0.08 * RATE)) * np.sin(np.arange(RATE // 2) * 2 * np.pi * 440 / RATE)
    for number in range(5):
        start = round((QUIET_SECONDS + CLICKS_SECONDS + 0.5 + 0.7 * number) * RATE)
        heard[start : start + len(tail)] += strokes * tail
    return CaughtBlock(0, np.clip(heard, -clip, clip).astype(np.float32), sent().astype(np.float32))


@pytest.mark.parametrize("delay", [0.0175, 0.0643, 0.31])
def test_delay_and_levels_are_measured(delay: float) -> None:
    check = check_ear(room(delay=delay))
    assert check.delay_ms == pytest.approx(1000 * delay, abs=1.0)
    assert check.noise_db == pytest.approx(-60.0, abs=1.0)
    assert check.strokes_db is not None
    assert -20 < check.strokes_db < -8
    assert check.judging


def test_clicks_forty_decibels_down_are_still_found() -> None:
    assert check_ear(room(bleed=0.01, noise=3e-4)).delay_ms == pytest.approx(64.3, abs=1.0)


@pytest.mark.parametrize(
    ("block", "headphones", "judging", "words"),
    [
        (room(noise=0.0, bleed=0.0, strokes=0.0), False, False, "not muted"),
        (room(noise=0.1, strokes=0.2), False, False, "move the microphone closer"),
        (room(bleed=0.0), False, True, "turn the loudspeakers up"),
        (room(bleed=0.0), True, True, "Hold one of the headphones to the microphone"),
        (room(strokes=2.0, clip=1.0), False, True, "turn the microphone down"),
        (room(), False, True, "Headphones are better"),
    ],
)
def test_what_would_help_is_said(block: CaughtBlock, headphones: bool, judging: bool, words: str) -> None:
    check = check_ear(block, headphones)
    assert check.judging is judging
    assert any(words in line for line in check.help)

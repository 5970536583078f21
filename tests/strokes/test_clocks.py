"""Delay and drift between what was sent and what was recorded, made with known ones."""

import numpy as np
import pytest

from score.strokes.clock_drift import clock_drift, undrifted
from score.strokes.mix_delay import mix_delay
from score.strokes.sound_delay import sound_delay
from score.strokes.speaker_bleed import predicted_bleed, shifted
from tests.strokes.struck_sounds import RATE, Blow, Sound, active_level, noise, room, sounded, through


def in_a_room(sound: Sound, rng: np.random.Generator) -> Sound:
    """A sound from a loudspeaker at the other end of a room."""
    return through(sound, room(rng, 0.4, 0.0))


def played_along(seed: int, seconds: float, step: float) -> Sound:
    """The others: a bar of clicks, then two voices in even steps."""
    rng = np.random.default_rng(seed)
    times = np.arange(2.4, seconds - 1, step)
    clicks = [Blow(0.1 + 0.6 * k, 100, 0.8, "click") for k in range(4)]
    blows = [Blow(float(second), int(rng.integers(48, 80)), 0.7) for second in times]
    return sounded([*clicks, *blows], seconds, rng)


@pytest.mark.parametrize("seed", range(140, 143))
def test_the_count_in_tells_the_delay_to_a_millisecond(seed: int) -> None:
    rng = np.random.default_rng(seed)
    delay = float(rng.uniform(0.01, 0.3))
    sent = sounded([Blow(0.1 + 0.5 * k, 100, 0.8, "click") for k in range(4)], 2.4, rng)
    heard = in_a_room(shifted(sent, delay, len(sent)), rng)
    heard = heard / active_level(heard) * 0.03 + noise(rng, len(heard)) * 0.03
    found = sound_delay(heard.astype(np.float32), sent)
    assert found.is_trusted
    assert found.seconds == pytest.approx(delay, abs=0.0002)


def test_where_nothing_was_sent_no_delay_is_trusted() -> None:
    rng = np.random.default_rng(150)
    sent = sounded([Blow(0.1 + 0.5 * k, 100, 0.8, "click") for k in range(4)], 2.4, rng)
    assert not [k for k in range(20) if sound_delay(noise(rng, len(sent)), sent).is_trusted]


def test_music_that_repeats_is_no_beat_too_late() -> None:
    rng = np.random.default_rng(151)
    mix = played_along(151, 22.0, 0.6)
    heard = in_a_room(shifted(mix, 1.9, len(mix)), rng) + 0.01 * noise(rng, len(mix))
    assert mix_delay(heard.astype(np.float32), mix).seconds == pytest.approx(1.9, abs=0.001)


@pytest.mark.parametrize("drift", [pytest.param(2e-5, marks=pytest.mark.campaign), -1e-4])
def test_two_clocks_are_brought_together(drift: float) -> None:
    rng = np.random.default_rng(152)
    mix = played_along(152, 24.0, 0.25)
    heard = undrifted(in_a_room(mix, rng) + (0.01 * noise(rng, len(mix))).astype(np.float32), -drift)
    found = clock_drift(heard, shifted(mix, 0.0, len(heard)))
    assert found == pytest.approx(drift, abs=4e-6)
    again = undrifted(heard, found)
    late = 20 * RATE
    off = sound_delay(again[late : late + 2 * RATE], mix[late : late + 2 * RATE], -0.02, 0.02)
    assert abs(off.seconds) < 0.0003


def test_loudspeakers_are_predicted_from_what_was_sent() -> None:
    rng = np.random.default_rng(153)
    mix = played_along(153, 16.0, 0.25)
    bleed = in_a_room(mix, rng)
    rest = bleed - predicted_bleed(bleed, mix)
    assert np.mean(rest**2) < 0.01 * np.mean(bleed**2)

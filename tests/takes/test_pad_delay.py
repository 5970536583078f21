"""A pad's delay by its thuds: sounds and stamps with a known distance, and stamps that belong to nothing."""

import numpy as np
import pytest

from score.takes.pad_delay import pad_delay
from score.takes.pad_delay_text import PadDelay, kept_pad_delay
from tests.strokes.struck_sounds import RATE, Blow, Sound, noise, sounded

MOMENTS = (0.6, 1.13, 1.9, 2.41, 3.2, 3.77)


def thuds(seed: int, moments: tuple[float, ...] = MOMENTS) -> Sound:
    rng = np.random.default_rng(seed)
    sound = 0.2 * sounded([Blow(at, 48, 0.7, "tom") for at in moments], 5.0, rng)
    return np.asarray(sound + 0.002 * noise(rng, len(sound)), np.float32)


@pytest.mark.parametrize("later", [-0.04, 0.0, 0.023, 0.15])
def test_the_delay_is_way_and_distance_together(later: float) -> None:
    jitter = np.random.default_rng(160).normal(0.0, 0.001, len(MOMENTS))
    stamps = [at + later + off for at, off in zip(MOMENTS, jitter, strict=True)]
    delay = pad_delay(thuds(160), [*stamps[:4], 2.95, *stamps[4:]], 0.0643)
    assert delay.is_trusted
    assert delay.strokes == len(MOMENTS)
    assert delay.seconds == pytest.approx(0.0643 + later, abs=0.0025)
    assert kept_pad_delay(delay.text()) == delay


def test_stamps_that_belong_to_no_thud_are_not_believed() -> None:
    rng = np.random.default_rng(161)
    for _ in range(20):
        assert not pad_delay(thuds(161), sorted(rng.uniform(0, 4.5, 5)), 0.06).is_trusted
    assert pad_delay(thuds(161), [], 0.06) == PadDelay(0.0, 0.0, 0)
    assert pad_delay(np.zeros(RATE, np.float32), [0.5], 0.06) == PadDelay(0.0, 0.0, 0)


@pytest.mark.parametrize("text", ["", "[]", "1", '["a", 1, 2]', "[1, 2]"])
def test_what_was_kept_otherwise_is_nothing(text: str) -> None:
    assert kept_pad_delay(text) is None

"""Sound on its way from a simulated card to the application: whole, and strokes told at once.

The card's clock is its frames: nothing here waits for a processor, so times are the same on every machine.
"""

from typing import Any

import numpy as np
import pytest

from score.playback.sounding.card_ear import CardEar
from score.playback.sounding.hearing_card import HEARING
from score.playback.sounding.sound_messages import Caught, Listen, Report, StoodOut
from tests.strokes.struck_sounds import RATE, Blow, Sound, noise, sounded

BLOCK = RATE * HEARING[0] // 1000
STROKES = tuple(1.0 + 0.173 * number for number in range(40))


def blocks(sound: Sound) -> list[Caught]:
    """As a card hands it over: a block when its last frame has been heard."""
    return [
        Caught(5000 + at, sound[at : at + BLOCK].tobytes(), (-sound[at : at + BLOCK]).tobytes())
        for at in range(0, len(sound) - BLOCK + 1, BLOCK)
    ]


@pytest.fixture(scope="module")
def played() -> Sound:
    rng = np.random.default_rng(150)
    blows = [
        Blow(at + 0.0003 * number, 55 + 5 * (number % 5), 0.5 + 0.1 * (number % 4)) for number, at in enumerate(STROKES)
    ]
    return np.asarray(0.2 * sounded(blows, 9.0, rng) + 0.002 * noise(rng, 9 * RATE), np.float32)


def test_a_stroke_is_told_within_25_ms_on_the_cards_clock_its_block_included(played: Sound) -> None:
    told: list[tuple[float, float]] = []
    now = 0

    def report(report: Report) -> None:
        if isinstance(report, StoodOut):
            told.append(((report.frame - 5000) / RATE, now / RATE))

    ear = CardEar(Listen(microphone=True, lights=True), report)
    for number, block in enumerate(blocks(played), start=1):
        now = number * BLOCK
        ear.take([block])
    moments = [at + 0.0003 * number for number, at in enumerate(STROKES)]
    assert [round(at, 1) for at, _ in told] == [round(at, 1) for at in moments]
    np.testing.assert_allclose([at for at, _ in told], moments, atol=0.005)
    assert max(known - moment for moment, (_, known) in zip(moments, told, strict=True)) <= 0.025


@pytest.mark.parametrize("lights", [True, False])
def test_sound_arrives_whole_and_in_larger_parts(played: Sound, lights: bool) -> None:
    reports: list[Any] = []
    ear = CardEar(Listen(microphone=True, lights=lights), reports.append)
    ear.take(blocks(played))
    ear.tell()
    caught = [report for report in reports if isinstance(report, Caught)]
    whole = len(played) // BLOCK * BLOCK
    np.testing.assert_array_equal(np.concatenate([np.frombuffer(c.heard, np.float32) for c in caught]), played[:whole])
    np.testing.assert_array_equal(np.concatenate([np.frombuffer(c.sent, np.float32) for c in caught]), -played[:whole])
    starts = np.cumsum([0, *(len(c.heard) // 4 for c in caught)])[:-1]
    assert [c.frame for c in caught] == [5000 + start for start in starts]
    assert len(caught) <= 1 + whole / (0.05 * RATE)
    assert any(isinstance(report, StoodOut) for report in reports) is lights

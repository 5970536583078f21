"""The reports of time: from them alone every stroke's moment follows, whatever was swapped in while it played."""

import random

import pytest

from score.playback.sound_events import Strike, Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import PassEnded, PassTime, Report
from score.playback.sounding.sound_outputs import Silent
from tests.playback.test_player import steady

LATENCY = 0.06
MAKINGS = [steady(60, step) for step in (0.1, 0.13, 0.2, 0.07, 0.16)]
"""One route at five tempi."""


def played(seed: int) -> list[tuple[float, Strike] | PassTime | PassEnded]:
    """Two passes with up to four swaps: what was told to the output and what was reported of the time, in order."""
    rng = random.Random(seed)
    story: list[tuple[float, Strike] | PassTime | PassEnded] = []

    def tell(report: Report) -> None:
        if isinstance(report, PassTime | PassEnded):
            story.append(report)

    class Telling(Silent):
        ahead = 0.05
        latency = LATENCY

        def strike(self, strike: Strike, when: float) -> None:
            story.append((when, strike))

    clockwork = Clockwork(Telling(), tell)
    clockwork.load(MAKINGS[0], loop=True, gap=0.3, number=0)
    clockwork.play(0.0, 5.0)
    moments = sorted(rng.uniform(5.0, 25.0) for _ in range(rng.randrange(1, 5)))
    now, number = 5.0, 0
    while sum(isinstance(event, PassEnded) for event in story) < 2:
        coming = clockwork.step(now)
        assert coming is not None
        if moments and moments[0] <= coming:
            now, number = max(now, moments.pop(0)), number + 1
            clockwork.swap(MAKINGS[number], now, number)
        else:
            now = max(now, coming) + 1e-3
    return story


def seconds_of(timeline: Timeline, strike: Strike) -> list[float]:
    """Where a timeline has the strokes of a strike's kind and written place."""
    return [
        s.seconds
        for s in timeline.strikes
        if (s.offset, s.player, s.pitch) == (strike.offset, strike.player, strike.pitch)
    ]


@pytest.mark.parametrize("seed", range(20))
def test_every_stroke_is_heard_when_the_reports_of_time_say_so(seed: int) -> None:
    times: list[PassTime] = []
    checked = 0
    turns = []
    for event in played(seed):
        if isinstance(event, PassEnded):
            turns.append(event.turn)
        elif isinstance(event, PassTime):
            times = [*(time for time in times if time.offset < event.offset), event]
        else:
            when, strike = event
            time = max((time for time in times if time.offset <= strike.offset + 1e-9), key=lambda time: time.offset)
            heard = [time.moment + seconds for seconds in seconds_of(MAKINGS[time.number], strike)]
            assert min(abs(moment - when - LATENCY) for moment in heard) < 1e-6
            assert time.turn == len(turns) + 1
            checked += 1
    assert checked >= 120
    assert turns == [1, 2]

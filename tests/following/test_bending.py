"""The clockwork on a bending time: every strike once, in order, held where it waits, straight where nobody is heard."""

import random
import statistics
from itertools import pairwise

import pytest

from score.following.follower import Follower
from score.following.leader_moments import leader_moments
from score.playback.sound_events import Strike, Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import Bend, Position, Report
from score.playback.sounding.sound_outputs import Silent
from score.time.pulse import PulseOptions
from tests.following.performances import arcs, performance, steady
from tests.following.test_following import LONG, PIECE, PULSE, SHORT, others_of


class Ear(Silent):
    """Remembers what was told and when it sounds; told 20 ms ahead."""

    ahead = 0.02

    def __init__(self) -> None:
        self.heard: list[tuple[float, Strike]] = []

    def strike(self, strike: Strike, when: float) -> None:
        self.heard.append((when, strike))


def clockwork_with(timeline: Timeline) -> tuple[Clockwork, Ear, list[Report]]:
    ear, reports = Ear(), list[Report]()
    clockwork = Clockwork(ear, reports.append)
    clockwork.load(timeline, loop=False, gap=0.0)
    return clockwork, ear, reports


@pytest.mark.parametrize("seed", range(100, 112))
def test_each_strike_sounds_once_and_in_order_however_the_time_bends(seed: int) -> None:
    rng = random.Random(seed)
    timeline = others_of(SHORT)
    clockwork, ear, reports = clockwork_with(timeline)
    clockwork.play(0.0, 50.0)
    now, coming = 50.0, 50.3
    while clockwork.playing and now < 200:
        wanted = clockwork.step(now)
        now = max(now + 1e-5, min(wanted if wanted is not None else coming, coming))
        if now >= coming and clockwork.playing:
            seconds = clockwork.position(now).seconds
            until = seconds + 0.2 if rng.random() < 0.1 else float("inf")
            clockwork.bend(Bend(seconds, now + rng.gauss(0, 0.02), rng.uniform(0.7, 1.4), until=until))
            coming = now + rng.uniform(0.02, 0.5)
    assert [s.offset for _, s in ear.heard] == [s.offset for s in timeline.strikes]
    assert all(b >= a - 1e-9 for (a, _), (b, _) in pairwise(ear.heard))
    places = [report.offset for report in reports if isinstance(report, Position)]
    assert max(places) <= float(SHORT.length) + 1e-6


def test_where_it_waits_nothing_sounds_until_it_is_let_go() -> None:
    timeline = others_of(SHORT)
    clockwork, ear, _ = clockwork_with(timeline)
    clockwork.play(0.0, 10.0)
    clockwork.bend(Bend(0.0, 10.02, until=3.0))
    now = 10.0
    while now < 20.0:
        clockwork.step(now)
        now += 0.01
    assert max(strike.seconds for _, strike in ear.heard) < 3.0
    told = len(ear.heard)
    clockwork.bend(Bend(3.0, 20.02))
    while len(ear.heard) == told:
        now = clockwork.step(now) or now
    assert ear.heard[told][0] == pytest.approx(20.02 + ear.heard[told][1].seconds - 3.0)


def test_nobody_heard_is_the_timelines_own_time() -> None:
    timeline = others_of(SHORT)
    clockwork, ear, _ = clockwork_with(timeline)
    clockwork.play(0.0, 7.0)
    now = 7.0
    while clockwork.playing:
        now = max(now + 1e-5, clockwork.step(now) or now)
    assert [when for when, _ in ear.heard] == [7.02 + strike.seconds for strike in timeline.strikes]
    assert [strike for _, strike in ear.heard] == list(timeline.strikes)


def test_another_making_is_swapped_in_while_it_bends() -> None:
    from score.playback.click import Thinning
    from score.playback.timeline import PlayOptions
    from score.playback.timeline import timeline as timeline_of

    timeline = others_of(SHORT)
    slower = timeline_of(PIECE, SHORT, PlayOptions(PulseOptions(0.8), frozenset({2, 3, 4}), Thinning.NONE, count_in=0))
    clockwork, ear, _ = clockwork_with(timeline)
    clockwork.play(0.0, 0.0)
    now = 0.0
    while clockwork.playing and now < 100:
        wanted = clockwork.step(now)
        if now < 2.0 <= (wanted or now):
            clockwork.bend(Bend(2.0, 2.1, 1.2))
        if now < 5.0 <= (wanted or now):
            clockwork.swap(slower, now)
        now = max(now + 1e-5, wanted or now)
    assert [s.offset for _, s in ear.heard] == [s.offset for s in timeline.strikes]
    assert all(b >= a - 1e-9 for (a, _), (b, _) in pairwise(ear.heard))


@pytest.mark.parametrize(("rate", "most"), [(steady, 14.0), (arcs, 50.0)], ids=["steady", "arcs"])
def test_live_the_others_keep_with_the_player(rate, most: float) -> None:
    """The real message path on a virtual clock: strokes in, bends out, strikes 20 ms ahead."""
    moments, others = leader_moments(PIECE, LONG, 1, PULSE), others_of(LONG)
    places = {round(moment.seconds, 6): index for index, moment in enumerate(moments)}
    played = performance(moments, 105, rate)
    clockwork, ear, _ = clockwork_with(others)
    follower = Follower(moments, 1.0)
    now = played.take[0].moment
    clockwork.play(0.0, now - 0.02)
    for stroke in played.take:
        while clockwork.playing and (wanted := clockwork.step(now)) is not None and wanted < stroke.moment:
            now = max(now + 1e-6, wanted)
        now = max(now, stroke.moment)
        follower.heard(stroke.moment, stroke.pitch)
        clockwork.bend(follower.bend())
    while clockwork.playing and now < played.moments[-1] + 20:
        now = max(now + 1e-4, clockwork.step(now) or now)
    off = [
        1000 * (when - played.moments[places[round(strike.seconds, 6)]])
        for when, strike in ear.heard
        if round(strike.seconds, 6) in places
    ]
    assert len(ear.heard) == len(others.strikes)
    assert statistics.pstdev(off) <= most

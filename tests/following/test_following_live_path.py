"""From strokes to what sounds, as it happens: each strike once and in order, back at base soon, quick when asked."""

import multiprocessing
import random
import statistics
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment, leader_moments
from score.following.live_following import LiveFollowing
from score.playback.sounding.sound_messages import Bend, Quick
from score.playback.sounding.sound_process import Device, _Service
from tests.following.test_against_models import Sounding
from tests.following.test_bending import clockwork_with
from tests.following.test_following import PIECE, PULSE, SHORT, others_of

MOMENTS = leader_moments(PIECE, SHORT, 1, PULSE)
OTHERS = others_of(SHORT)
strokes = st.lists(st.tuples(st.floats(0.0, 1.5), st.one_of(st.none(), st.integers(30, 100))), max_size=40)


@settings(max_examples=20, deadline=None)
@given(strokes, st.sampled_from([0.0, 0.5, 0.75, 1.0]))
def test_whatever_is_played_each_strike_sounds_once_and_in_order(
    played: list[tuple[float, int | None]], give: float
) -> None:
    clockwork, ear, _ = clockwork_with(OTHERS)
    following = LiveFollowing(Sounding(clockwork), {1: MOMENTS}, give)
    following.leaps = False
    clockwork.play(0.0, 20.0)
    now = 20.0
    for wait, pitch in played:
        coming = now + wait
        while clockwork.playing and (wanted := clockwork.step(now)) is not None and wanted < coming:
            now = max(now + 1e-6, wanted)
        now = max(now, coming)
        following.struck(now, pitch)
    # Who stops playing holds them up; let go, they play to the end.
    following.let_go(now)
    while clockwork.playing:
        now = max(now + 1e-6, clockwork.step(now) or now)
    assert [strike.offset for _, strike in ear.heard] == [strike.offset for strike in OTHERS.strikes]
    assert all(after >= before - 1e-9 for (before, _), (after, _) in pairwise(ear.heard))
    if not played or not give:
        # Nobody heard, or nothing given: the timeline's own time, to the last bit.
        assert [when for when, _ in ear.heard] == [20.02 + strike.seconds for strike in OTHERS.strikes]


def errors_after(seed: int, happening: str) -> list[float]:
    """Milliseconds by which the strokes after a lost or stray one are missed, the first four of them."""
    rng = random.Random(seed)
    moments = tuple(LeaderMoment(0.4 * i, frozenset({55 + (7 * i) % 24}), until=0.4 * i) for i in range(60))
    follower, off = Follower(moments, 1.0), []
    for index, moment in enumerate(moments):
        at = 10 + moment.seconds + rng.gauss(0, 0.01)
        if index > 30:
            off.append(1000 * (follower.when(moment.seconds) - at))
        if index == 30 and happening == "lost":
            continue
        follower.heard(at, min(moment.pitches))
        if index == 30 and happening == "stray":
            follower.heard(at + rng.uniform(0.1, 0.3), rng.randrange(50, 80))
    return off[:4]


@pytest.mark.parametrize("happening", ["lost", "stray"])
def test_at_the_second_stroke_after_a_lost_or_stray_one_they_are_back(happening: str) -> None:
    plain = [errors_after(seed, "nothing") for seed in range(101, 141)]
    after = [errors_after(seed, happening) for seed in range(101, 141)]
    for stroke in (1, 2, 3):
        base = statistics.pstdev(row[stroke] for row in plain)
        assert statistics.pstdev(row[stroke] for row in after) <= 1.5 * base
        assert max(abs(row[stroke]) for row in after) < 60


def test_from_order_to_ear_is_short_while_somebody_is_followed_and_safe_again_after() -> None:
    near, far = multiprocessing.Pipe()
    service = _Service(far, Device(backend="NULL"))
    try:
        output = service.clockwork.output
        assert output.ahead + output.latency == pytest.approx(0.15)
        service._obey(Quick(True))
        output = service.clockwork.output
        assert output.ahead + output.latency <= 0.04 + 1e-9
        service._obey(Quick(False))
        output = service.clockwork.output
        assert output.ahead + output.latency == pytest.approx(0.15)
    finally:
        service.close()
        near.close()


def test_a_bend_before_anything_plays_is_not_remembered() -> None:
    clockwork, ear, _ = clockwork_with(OTHERS)
    clockwork.bend(Bend(0.0, 5.0, 2.0))
    clockwork.play(0.0, 10.0)
    clockwork.step(10.5)
    assert ear.heard[0][0] == pytest.approx(10.02 + OTHERS.strikes[0].seconds)

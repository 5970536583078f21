"""The last bars of a piece, which roll, ring and are clapped into: to a rough look they are like nothing at all."""

from collections.abc import Callable

import numpy as np

from score.recording.fine import HeardWay
from score.recording.heard_run import HeardRun
from score.recording.rough_runs import RoughRun
from score.recording.score_moments import Floats, WrittenMusic
from score.recording.semitones import Array
from score.recording.snap import Attacks, HeardIn, heard_in

_MOST_BARS, _PACE_QUARTERS, _STEP = 2, 8.0, 0.5
"""Bars that may be missing; quarters that tell how fast the run ends; quarters between knots of what is added."""
_PACES = tuple(2.0 ** (step / 8) for step in range(-5, 9))
_EVEN = 0.15
"""What twice as slow or fast costs, against attacks that are heard in full."""
_NEAR = 0.06
_LEAST = 0.35
_INSIDE = 0.3


def with_its_end(
    run: RoughRun,
    place: Callable[[RoughRun], HeardRun],
    music: WrittenMusic,
    attacks: Attacks,
    *,
    shares: Array,
    until: float,
) -> HeardRun:
    """A run in place, with the piece's last bars where they are heard after it.

    Args:
        run: the run.
        place: puts a run in place.
        music: the written music.
        attacks: of the recording.
        shares: what each sort of stroke without pitch fills.
        until: seconds at which something else begins.
    """
    heard = place(run)
    after = np.flatnonzero(music.moment_quarters > run.way.quarters[-1] + _INSIDE)
    missing = int(np.sum(music.starts > run.way.quarters[-1] - _STEP))
    if not len(after) or missing > _MOST_BARS:
        return heard
    quarters = music.moment_quarters[after]
    where = heard_in(music.notes, quarters, shares)
    ways = [_longer(run.way, music.ends[-1] - 1e-6, pace) for pace in _PACES]
    ways = [way for way in ways if float(way.at(quarters, 0.0)[-1]) < until - _NEAR]
    if not ways:
        return heard
    worth = [_heard_at(way.at(quarters, 0.0), where, attacks) for way in ways]
    pace = int(np.argmax(np.array(worth) - _EVEN * np.abs(np.log2(_PACES[: len(ways)]))))
    whole = place(RoughRun(ways[pace], run.joined))
    more = [each.contrast for each in whole.evidence[-len(after) :]]
    return whole if min(float(np.mean(more)), more[-1]) >= _LEAST else heard


def _longer(way: HeardWay, last: float, pace: float) -> HeardWay:
    """A way that goes on, so many times slower than it went."""
    late = way.quarters >= way.quarters[-1] - _PACE_QUARTERS
    slope = (way.seconds[-1] - way.seconds[late][0]) / max(way.quarters[-1] - way.quarters[late][0], 1e-3)
    more = np.append(np.arange(way.quarters[-1] + _STEP, last, _STEP), last)
    seconds = way.seconds[-1] + (more - way.quarters[-1]) * slope * pace
    return HeardWay(np.append(way.quarters, more), np.append(way.seconds, seconds))


def _heard_at(seconds: Floats, where: list[HeardIn], attacks: Attacks) -> float:
    near = np.linspace(-_NEAR, _NEAR, 9)
    return float(
        np.mean([attacks.evidence(each, at, at + near).max() for each, at in zip(where, seconds.tolist(), strict=True)])
    )

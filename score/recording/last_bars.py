"""The last bars of a piece, which roll, ring and are clapped into: to a rough look they are like nothing at all."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from score.recording.confidence import MomentEvidence
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
_LEAST, _FAINT = 0.3, 0.15
"""Contrast that tells a moment; one that is enough where what comes before it fits no worse so."""
_INSIDE, _LAST_MOMENTS = 0.3, 6


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
    missing = int(np.sum(music.starts > run.way.quarters[-1] - _STEP))
    if not 0 < missing <= _MOST_BARS:
        return heard
    for way in (run.way, _as_far_as_heard(heard, run.way)):
        end, added = _best_end(way, music, attacks, shares=shares, until=until)
        if added:
            whole = place(RoughRun(end.way, run.joined))
            if _is_heard(whole, heard, added):
                return whole
    return heard


def _is_heard(whole: HeardRun, without: HeardRun, added: int) -> bool:
    """Whether the moments that were added are heard; the very last may be faint where those before it fit no worse."""
    more = [each.contrast for each in whole.evidence[-added:]]
    if min(float(np.mean(more)), more[-1]) >= _LEAST:
        return True
    before = [_ending(run) for run in (whole.evidence[:-added], without.evidence)]
    return float(np.mean(more)) >= _LEAST and more[-1] >= _FAINT and before[0] >= before[1]


def _ending(evidence: Sequence[MomentEvidence]) -> float:
    """Contrast of the last moments, on the mean."""
    return float(np.mean([each.contrast for each in evidence[-_LAST_MOMENTS:]]))


class _TriedEnd(NamedTuple):
    worth: float
    way: HeardWay


def _best_end(
    way: HeardWay, music: WrittenMusic, attacks: Attacks, *, shares: Array, until: float
) -> tuple[_TriedEnd, int]:
    """The best way to the end of the piece from where a way ends, at any pace, and how many moments it adds."""
    after = np.flatnonzero(music.moment_quarters > way.quarters[-1] + _INSIDE)
    nothing = _TriedEnd(-1.0, way)
    if not len(after):
        return nothing, 0
    quarters = music.moment_quarters[after]
    where = heard_in(music.notes, quarters, shares)
    tried = [(pace, _longer(way, music.ends[-1] - 1e-6, pace)) for pace in _PACES]
    ends = [
        _TriedEnd(_heard_at(longer.at(quarters, 0.0), where, attacks) - _EVEN * abs(float(np.log2(pace))), longer)
        for pace, longer in tried
        if float(longer.at(quarters[-1:], 0.0)[0]) < until - _NEAR
    ]
    return max(ends, default=nothing, key=lambda end: end.worth), len(after) if ends else 0


def _as_far_as_heard(run: HeardRun, way: HeardWay) -> HeardWay:
    """The way as far as the last stroke that is clearly heard, if that is near the end: what follows was stretched."""
    contrasts = [each.contrast for each in run.evidence[-_LAST_MOMENTS:]]
    clear = [number for number, contrast in enumerate(contrasts) if contrast >= _LEAST]
    if not clear:
        return way
    last = len(run.evidence) - len(contrasts) + clear[-1]
    quarter = float(run.music.moment_quarters[run.placed.moments[last]])
    before = way.quarters < quarter - _INSIDE
    return HeardWay(np.append(way.quarters[before], quarter), np.append(way.seconds[before], run.placed.seconds[last]))


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

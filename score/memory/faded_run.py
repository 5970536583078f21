"""A run of bars for the screen with some of the player's own part taken away, and where something is covered.

What is hidden is covered and never left blank: an empty place would be read as a rest.
"""

from collections.abc import Collection, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import Lane, LaneSign, Run, RunBar
from score.beats import Place
from score.memory.fade import Fade, FadeStep

Cover = tuple[Fraction, Fraction]
"""From where to where something is hidden, quarters from the beginning of the run."""


class FadedRun(NamedTuple):
    """What is left.

    Attributes:
        run: the lanes, the player's own without what is hidden.
        covers: where it is hidden, in order.
    """

    run: Run
    covers: tuple[Cover, ...]


def faded_run(run: Run, player: int, landmarks: Collection[Place], fade: Fade) -> FadedRun:
    """What a step leaves of a run.

    At the second step the strokes of a landmark's beat stay; from the fourth on no bar tells whether it rests.

    Args:
        run: the bars.
        player: number of the player whose part fades.
        landmarks: strokes that stay at the second step.
        fade: the step.
    """
    own = next(lane for lane in run.lanes if lane.player == player)
    kept = {bar.index: tuple(_kept(bar, landmarks)) if fade.step == FadeStep.LANDMARKS else () for bar in run.bars}
    signs, covers = [], []
    for bar in run.bars:
        here = [sign for sign in own.signs if bar.at <= sign.at < bar.at + bar.length]
        if not fade.fades(bar.index):
            signs += here
            continue
        left = [sign for sign in here if any(start <= sign.at < end for start, end in kept[bar.index])]
        signs += [_cut(sign, kept[bar.index]) for sign in left]
        if fade.step == FadeStep.BARS or len(left) < len(here) or _sounds_on(own, bar):
            covers += list(_gaps(bar, kept[bar.index]))
    words = own.words if fade.step < FadeStep.BARS else tuple(w for w in own.words if not _hidden(run, w.at, fade))
    faded = replace(own, signs=tuple(signs), words=words)
    lanes = tuple(faded if lane.player == player else lane for lane in run.lanes)
    return FadedRun(replace(run, lanes=lanes), tuple(covers))


def _kept(bar: RunBar, landmarks: Collection[Place]) -> Iterator[Cover]:
    """The beats of a bar in which landmarks stand."""
    places = {bar.at + place.at for place in landmarks if place.bar == bar.index}
    ends = (*bar.beats[1:], bar.at + bar.length)
    for start, end in zip(bar.beats, ends, strict=True):
        if any(start <= place < end for place in places):
            yield start, end


def _gaps(bar: RunBar, kept: Collection[Cover]) -> Iterator[Cover]:
    """What is left of a bar beside these beats."""
    at = bar.at
    for start, end in kept:
        if at < start:
            yield at, start
        at = end
    if at < bar.at + bar.length:
        yield at, bar.at + bar.length


def _cut(sign: LaneSign, kept: Collection[Cover]) -> LaneSign:
    """A stroke no longer than its beat: how long it is held is hidden."""
    end = next(end for start, end in kept if start <= sign.at < end)
    return replace(sign, length=min(sign.length, end - sign.at))


def _sounds_on(lane: Lane, bar: RunBar) -> bool:
    """Whether a stroke from before a bar sounds in it."""
    return any(sign.at < bar.at < sign.at + sign.length for sign in lane.signs)


def _hidden(run: Run, at: Fraction, fade: Fade) -> bool:
    return any(bar.at <= at < bar.at + bar.length and fade.fades(bar.index) for bar in run.bars)

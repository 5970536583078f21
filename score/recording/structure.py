"""Which bars were played when, roughly: the cheapest way of the recording through the written bars.

Every frame of the recording (ten a second) is a frame of the score at one of several tempi or "nothing of the score".
At its tempo the music moves one frame on each time; it may stand still at a price and change to the next tempo at one.
Written jumps cost little, any other jump much. All steps use up one frame of sound, so that no way is cheaper for
being shorter. Of a long recording decisions are not kept but found again, some hundreds of frames at a time from the
end, so that three hours take little more memory than three minutes.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.frame_costs import BLOCK, FrameCosts, ScoreFrames
from score.recording.semitones import Array

NOTHING = -1
"""State of frames in which nothing of the score sounds."""
_FAR = np.float32(1e9)
_JUMPED = 9
_MOST_STEPS = 120_000_000
"""Frames times states up to which every decision is kept: a byte each."""
_MOST_AGAIN = 30_000_000
"""The same for the frames between two marks. Where that is too little, marks lie a block apart while they are found
again, and each block is walked three times."""


@dataclass(frozen=True, slots=True)
class StructureCosts:
    """What the ways cost; a frame that fits well costs about .05, any frame of other music about .3.

    Attributes:
        arc: a jump that the signs allow.
        jump: any other, from a bar's end to a bar's beginning.
        enter: into nothing of the score.
        leave: out of it; less than half as much into the first bar.
        stay: a frame that stands still.
        switch: a change to the next tempo.
        late: beginning in another bar than the first.
    """

    arc: float = 0.4
    jump: float = 6.0
    enter: float = 2.0
    leave: float = 3.0
    stay: float = 0.06
    switch: float = 0.05
    late: float = 3.0

    def cheaper(self, by: float) -> "StructureCosts":
        """The same with jumps that are not written, talk and late beginnings at so much of their price."""
        return replace(self, jump=by * self.jump, enter=by * self.enter, leave=by * self.leave, late=by * self.late)


class _Lattice:
    """States of the score, one step of sound at a time."""

    def __init__(self, score: ScoreFrames, costs: StructureCosts) -> None:
        self.costs, self.size = costs, len(score.rows)
        self.first = score.starts
        self.last = np.concatenate([score.starts[:, 1:], score.edges[1:, None]], axis=1) - 1
        self.near_last = np.maximum(self.last - 1, self.first)
        self.sources = np.array([a for a, _ in score.arcs], int)
        self.targets = np.array([b for _, b in score.arcs], int)
        self.slower, self.faster = _neighbours(score)
        self.leave = np.full(self.first.shape[1], costs.leave, np.float32)
        self.leave[0] *= 0.4

    def begin(self, cost: Array, idle: float) -> tuple[Array, float]:
        """Cost of each state at the first frame, and of nothing."""
        states = np.full(self.size, _FAR, np.float32)
        states[self.first] = self.costs.late
        states[self.first[:, 0]] = 0.3
        return states + cost, idle * 0.9

    def step(
        self, states: Array, nothing: float, cost: Array, idle: float, back: NDArray[np.int8] | None = None
    ) -> tuple[Array, float, "_LatticeStep"]:
        """Costs after the next frame, and how each was reached, which is written into `back` where that is given."""
        moved = self._moved(states, back)
        jumps, origin = self._jumps(states, nothing)
        begun = moved[self.first]
        better = jumps[None] < begun
        moved[self.first] = np.where(better, jumps[None], begun)
        if back is not None:
            back[self.first] = np.where(better, _JUMPED, back[self.first])
        best = int(states.argmin())
        leaves = states[best] + self.costs.enter < nothing
        silent = float(states[best] + self.costs.enter if leaves else nothing) + idle
        moved += cost
        return moved, silent, _LatticeStep(back, origin, best if leaves else NOTHING)

    def _moved(self, states: Array, back: NDArray[np.int8] | None) -> Array:
        """One frame on at the same tempo, standing still, or one frame on at the next slower or faster tempo."""
        moved = np.empty_like(states)
        moved[1:] = states[:-1]
        moved[self.first[:, 0]] = _FAR
        stay, switch = np.float32(self.costs.stay), np.float32(self.costs.switch)
        for code, come in (
            (1, states + stay),
            (2, states.take(self.slower) + switch),
            (3, states.take(self.faster) + switch),
        ):
            if back is not None:
                np.copyto(back, np.int8(code), where=come < moved)
            np.minimum(moved, come, out=moved)
        return moved

    def _jumps(self, states: Array, nothing: float) -> tuple[Array, NDArray[np.int64]]:
        """Cheapest way into each bar's beginning from elsewhere, and the state it comes from."""
        cost, state = self._leaving(states)
        best = int(cost.argmin())
        jumps = np.full(len(cost), cost[best] + self.costs.jump, np.float32)
        origin = np.full(len(cost), state[best])
        for source, target in zip(self.sources, self.targets, strict=True):
            come = cost[source] + np.float32(self.costs.arc)
            if come < jumps[target]:
                jumps[target], origin[target] = come, state[source]
        out = np.float32(nothing) + self.leave
        better = out < jumps
        return np.where(better, out, jumps), np.where(better, NOTHING, origin)

    def _leaving(self, states: Array) -> tuple[Array, NDArray[np.int64]]:
        """Cost of being at the end of each bar, at any tempo, and the state that is."""
        ends = np.concatenate([states[self.last], states[self.near_last] + np.float32(0.02)])
        places = np.concatenate([self.last, self.near_last])
        chosen = ends.argmin(axis=0)
        bars = np.arange(ends.shape[1])
        return ends[chosen, bars], places[chosen, bars]

    def before(self, step: "_LatticeStep", state: int, bar_of: NDArray[np.int64]) -> int:
        """The state one frame earlier."""
        if state == NOTHING:
            return step.silent
        assert step.back is not None
        code = step.back[state]
        if code == _JUMPED:
            return int(step.origin[bar_of[state]])
        return int((state - 1, state, self.slower[state], self.faster[state])[code])


def _neighbours(score: ScoreFrames) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """For each state the one a frame earlier at the next slower and faster tempo; itself at the slowest and fastest."""
    every = np.arange(len(score.rows))
    slower, faster = every.copy(), every.copy()
    parts = [slice(a, b) for a, b in pairwise(score.edges)]
    for here, there, target in [(b, a, slower) for a, b in pairwise(parts)] + [
        (a, b, faster) for a, b in pairwise(parts)
    ]:
        near = np.searchsorted(score.places[there], score.places[here] - 1e-6) + there.start - 1
        target[here] = np.clip(near, there.start, there.stop - 1)
    return slower, faster


class _LatticeStep(NamedTuple):
    """How states were reached; `back` is None where it was not to be kept."""

    back: NDArray[np.int8] | None
    origin: NDArray[np.int64]
    silent: int


class BlockStart(NamedTuple):
    """Where blocks begin, the first's first frame, and what it takes to walk on from there.

    Attributes:
        start: frame.
        states, nothing: costs before that frame; after it where it is the very first.
    """

    start: int
    states: Array
    nothing: float


class Forward(NamedTuple):
    """The cheapest way of a recording through a score, as far as its end and what it can be walked again from.

    Attributes:
        marks: where some of the blocks begin.
        at_once: frames of which decisions are kept together when they are walked again.
        final: state at the last frame.
        steps: all of them, where they are few enough to be kept; else empty.
    """

    marks: tuple[BlockStart, ...]
    at_once: int
    final: int
    steps: tuple[_LatticeStep, ...]


def walk_forward(frames: FrameCosts, costs: StructureCosts, progress: Callable[[float], None]) -> Forward:
    """The costs of the cheapest way, with what is needed to find it."""
    lattice, count = _Lattice(frames.score, costs), len(frames.sound)
    apart, at_once = _marks_apart(count, lattice.size)
    mark = BlockStart(0, *lattice.begin(frames.block(0)[0], float(frames.idle[0])))
    marks = []
    steps: list[_LatticeStep] | None = [] if count * lattice.size <= _MOST_STEPS else None
    for start in range(0, count, BLOCK):
        if start % apart == 0:
            marks.append(mark)
        mark = _walked(lattice, frames, mark, BLOCK, steps)
        progress(min(1.0, (start + BLOCK) / count))
    best = int(mark.states.argmin())
    final = NOTHING if mark.nothing < mark.states[best] + 0.5 else best
    return Forward(tuple(marks), at_once, final, steps=tuple(steps or ()))


def _marks_apart(count: int, size: int) -> tuple[int, int]:
    """Frames between two marks, and of how many of them decisions are kept together: marks take four bytes a state."""
    apart = BLOCK * ceil(2 * sqrt(count) / BLOCK)
    if apart * size <= _MOST_AGAIN:
        return apart, apart
    return BLOCK * ceil(sqrt(count / BLOCK)), BLOCK


def _walked(
    lattice: _Lattice, frames: FrameCosts, mark: BlockStart, many: int, steps: list[_LatticeStep] | None = None
) -> BlockStart:
    """Through so many frames, whole blocks; their steps are kept where a list for them is there."""
    states, nothing = mark.states, mark.nothing
    for start in range(mark.start, min(mark.start + many, len(frames.sound)), BLOCK):
        skipped = int(start == 0)
        idle = frames.idle[start + skipped : start + BLOCK].tolist()
        for cost, free in zip(frames.block(start)[skipped:], idle, strict=True):
            back = None if steps is None else np.zeros(lattice.size, np.int8)
            states, nothing, step = lattice.step(states, nothing, cost, free, back)
            if steps is not None:
                steps.append(step)
    return BlockStart(mark.start + many, states, nothing)


def walk_back(frames: FrameCosts, costs: StructureCosts, forward: Forward) -> NDArray[np.int64]:
    """The state of every frame on the cheapest way; `NOTHING` where nothing of the score sounds."""
    lattice, count = _Lattice(frames.score, costs), len(frames.sound)
    bar_of = np.full(lattice.size, -1)
    bar_of[lattice.first] = np.arange(lattice.first.shape[1])[None]
    path, state = np.full(count, NOTHING), forward.final
    for last, steps in _from_behind(lattice, frames, forward):
        for frame, step in zip(range(last, -1, -1), reversed(steps), strict=False):
            path[frame] = state
            state = lattice.before(step, state, bar_of)
    path[0] = state
    return path


def _from_behind(
    lattice: _Lattice, frames: FrameCosts, forward: Forward
) -> Iterator[tuple[int, Sequence[_LatticeStep]]]:
    """Last frames of stretches with their steps, the last stretch first; steps that were not kept are walked again."""
    stop = count = len(frames.sound)
    if forward.steps:
        yield count - 1, forward.steps
        return
    for outer in reversed(forward.marks):
        starts = [outer]
        while starts[-1].start + forward.at_once < stop:
            starts.append(_walked(lattice, frames, starts[-1], forward.at_once))
        for mark in reversed(starts):
            steps: list[_LatticeStep] = []
            _walked(lattice, frames, mark, forward.at_once, steps)
            yield min(count, mark.start + forward.at_once) - 1, steps
        stop = outer.start

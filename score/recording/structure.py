"""Which bars were played when, roughly: the cheapest way of the recording through the written bars.

Every frame of the recording (ten a second) is a frame of the score or "nothing of the score". A frame moves zero to
three score frames on; written jumps cost little, any other jump much. All steps use up one frame of sound, so that no
way is cheaper for being shorter. Decisions are kept for a block of frames only; blocks are walked again from the end,
so that three hours take no more memory than the states of one block.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.semitones import Array

NOTHING = -1
"""State of frames in which nothing of the score sounds."""
_FAR = np.float32(1e9)
_BLOCK = 1024
_JUMPED = 9


@dataclass(frozen=True, slots=True)
class StructureCosts:
    """What the ways cost; a frame that fits well costs about .05, any frame of other music about .3.

    Attributes:
        arc: a jump that the signs allow.
        jump: any other, from a bar's end to a bar's beginning.
        enter, leave: into nothing and out of it; half as much out of it into the first bar.
        stay, skip: a frame that stands still, and each score frame that is passed over.
        late: beginning in another bar than the first.
    """

    arc: float = 0.4
    jump: float = 6.0
    enter: float = 2.0
    leave: float = 3.0
    stay: float = 0.06
    skip: float = 0.03
    late: float = 3.0


class ScoreFrames(NamedTuple):
    """The written bars as frames.

    Attributes:
        rows: shape (score frames, features).
        struck: shape (score frames,), 1 where attacks count.
        starts: first frame of each bar.
        arcs: (from bar, to bar).
    """

    rows: Array
    struck: Array
    starts: NDArray[np.int64]
    arcs: Sequence[tuple[int, int]]


class _Lattice:
    """States of the score, one step of sound at a time."""

    def __init__(self, score: ScoreFrames, costs: StructureCosts) -> None:
        self.costs, self.size = costs, len(score.rows)
        self.first = score.starts
        self.last = np.append(score.starts[1:], self.size) - 1
        self.near_last = np.maximum(self.last - 1, self.first)
        self.sources = np.array([a for a, _ in score.arcs], int)
        self.targets = np.array([b for _, b in score.arcs], int)
        self.all = np.arange(self.size)
        self.leave = np.full(len(self.first), costs.leave, np.float32)
        self.leave[0] *= 0.4

    def begin(self, cost: Array, idle: float) -> tuple[Array, float]:
        """Cost of each state at the first frame, and of nothing."""
        states = np.full(self.size, _FAR, np.float32)
        states[self.first] = self.costs.late
        states[0] = 0.3
        return states + cost, idle * 0.9

    def step(self, states: Array, nothing: float, cost: Array, idle: float) -> tuple[Array, float, "_LatticeStep"]:
        """Costs after the next frame, and how each was reached."""
        moved, back = self._moved(states)
        jumps, origin = self._jumps(states, nothing)
        better = jumps < moved[self.first]
        moved[self.first[better]] = jumps[better]
        back[self.first[better]] = _JUMPED
        best = int(states.argmin())
        leaves = states[best] + self.costs.enter < nothing
        silent = float(states[best] + self.costs.enter if leaves else nothing) + idle
        return moved + cost, silent, _LatticeStep(back, np.where(better, origin, -3), best if leaves else NOTHING)

    def _moved(self, states: Array) -> tuple[Array, NDArray[np.int8]]:
        stay, skip = np.float32(self.costs.stay), np.float32(self.costs.skip)
        moved, back = states + stay, np.zeros(self.size, np.int8)
        for by, price in ((1, np.float32(0)), (2, skip), (3, 2 * skip)):
            come = states[:-by] + price
            better = come < moved[by:]
            np.copyto(moved[by:], come, where=better)
            back[by:][better] = by
        return moved, back

    def _jumps(self, states: Array, nothing: float) -> tuple[Array, NDArray[np.int64]]:
        """Cheapest way into each bar's beginning from elsewhere, and the state it comes from."""
        ends = np.stack([states[self.last], states[self.near_last] + np.float32(0.02)])
        late = ends.argmin(axis=0)
        cost, state = ends.min(axis=0), np.where(late == 0, self.last, self.near_last)
        best = int(cost.argmin())
        jumps = np.full(len(self.first), cost[best] + self.costs.jump, np.float32)
        origin = np.full(len(self.first), state[best])
        if len(self.sources):
            come = cost[self.sources] + np.float32(self.costs.arc)
            # Dear ones first: the cheapest way into a bar is written last and stays.
            for arc in np.argsort(-come):
                if come[arc] < jumps[self.targets[arc]]:
                    jumps[self.targets[arc]], origin[self.targets[arc]] = come[arc], state[self.sources[arc]]
        out = np.float32(nothing) + self.leave
        better = out < jumps
        return np.where(better, out, jumps), np.where(better, NOTHING, origin)


class _LatticeStep(NamedTuple):
    back: NDArray[np.int8]
    origin: NDArray[np.int64]
    silent: int


class FrameCosts:
    """Squared distance of sound frames from score frames, a block at a time.

    Args:
        sound: shape (frames, features), chroma in the first twelve columns.
        score: the score's frames.
        quiet: frames in which next to nothing sounds.
        idle: what each frame costs as nothing of the score.
    """

    def __init__(self, sound: Array, score: ScoreFrames, quiet: NDArray[np.bool_], idle: Array) -> None:
        self.sound, self.score, self.quiet, self.idle = sound, score, quiet, idle
        self._mine = (0.5 * (score.rows**2).sum(axis=1) + 0.035 * (1 - score.struck)).astype(np.float32)

    def block(self, start: int) -> Array:
        """Costs of `_BLOCK` frames from one on; shape (frames, score frames)."""
        rows = self.sound[start : start + _BLOCK]
        held, struck = 0.5 * (rows[:, :12] ** 2).sum(axis=1), 0.5 * (rows[:, 12:] ** 2).sum(axis=1)
        cost = rows @ -self.score.rows.T
        cost += held[:, None] + struck[:, None] * self.score.struck[None] + self._mine[None]
        hushed = self.quiet[start : start + _BLOCK]
        silent = self.idle[start : start + _BLOCK][hushed] + np.float32(0.02)
        cost[hushed] = np.maximum(cost[hushed], silent[:, None])
        return np.asarray(cost, np.float32)


@dataclass(slots=True)
class Forward:
    """Costs of a recording through a score.

    Attributes:
        total: of the cheapest way.
        marks: states and nothing at the beginning of each block, to walk it again from.
        final: state at the last frame.
    """

    total: float
    marks: list[tuple[Array, float]]
    final: int


def walk_forward(frames: FrameCosts, costs: StructureCosts, progress: Callable[[float], None]) -> Forward:
    """The costs of the cheapest way, with what is needed to find it."""
    lattice = _Lattice(frames.score, costs)
    count, marks = len(frames.sound), []
    for start in range(0, count, _BLOCK):
        block, idle = frames.block(start), frames.idle[start : start + _BLOCK].tolist()
        if start == 0:
            states, nothing = lattice.begin(block[0], idle[0])
        marks.append((states.copy(), nothing))
        first = int(start == 0)
        for cost, free in zip(block[first:], idle[first:], strict=True):
            states, nothing, _ = lattice.step(states, nothing, cost, free)
        progress(min(1.0, (start + _BLOCK) / count))
    best = int(states.argmin())
    final = NOTHING if nothing < states[best] + 0.5 else best
    return Forward(min(nothing, float(states[best])), marks, final)


def walk_back(frames: FrameCosts, costs: StructureCosts, forward: Forward) -> NDArray[np.int64]:
    """The state of every frame on the cheapest way; `NOTHING` where nothing of the score sounds."""
    lattice = _Lattice(frames.score, costs)
    bar_of = np.full(lattice.size, -1)
    bar_of[lattice.first] = np.arange(len(lattice.first))
    count, state = len(frames.sound), forward.final
    path = np.full(count, NOTHING)
    for number in range(len(forward.marks) - 1, -1, -1):
        start = number * _BLOCK
        first = start + (number == 0)
        states, nothing = forward.marks[number]
        steps = []
        idle = frames.idle[first : start + _BLOCK].tolist()
        for cost, free in zip(frames.block(start)[first - start :], idle, strict=True):
            states, nothing, step = lattice.step(states, nothing, cost, free)
            steps.append(step)
        for frame in range(min(count, start + _BLOCK) - 1, first - 1, -1):
            path[frame] = state
            state = _before(steps[frame - first], state, bar_of)
    path[0] = state
    return path


def _before(step: _LatticeStep, state: int, bar_of: NDArray[np.int64]) -> int:
    if state == NOTHING:
        return step.silent
    if step.back[state] == _JUMPED:
        return int(step.origin[bar_of[state]])
    return state - int(step.back[state])

"""Following a player who plays alone in free time: which place every stroke belongs to, with restarts and skips.

A path over places, stroke by stroke (Viterbi): each place carries its own last moment and tempo, so that the tempo may
drift; a stroke may go on to one of the next places, be none of the score's, or jump anywhere. Without pitches even
notes all look alike: where no pitch is known nothing can be followed this way.

Only the places around the best one are looked at, and all of them for a while after a pause, when a player may have
gone back: the work grows with the strokes.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Costs = NDArray[np.float64]
PitchCosts = Callable[[int], Costs]
"""For the index of a heard stroke what it would cost to take it for each place."""

_SKIPPED = 8
_MISSED, EXTRA, _JUMP = 4.0, 6.0, 14.0
_FARTHER, _FARTHEST = 0.05, 2.0
"""What a jump costs more for each place it is longer, and at most: who stops begins again near by, of two places that
hold the same."""
IN_A_ROLL, IN_GRACES = 0.3, 1.0
"""What a stroke costs that belongs to none, where such strokes are expected."""
_SPREAD, _RELATIVE = 0.02, 0.10
_ROLL_LONGER, _ROLL_SLACK = 1.5, 0.25
"""How many times as long as written a roll may be, and seconds beyond: what comes later belongs to it no more."""
_ADAPTS = 0.25
_SLOWEST, _FASTEST = 2.5, 0.4
_PAUSE = 0.35
_HARD_JUMP = 8.0
_FAR = 40.0
_AROUND, _LOST = 80, 24
_NOTHING, _START = -3, -1
_JUMPED = -10
_INFINITE = 1e9


class _Places(NamedTuple):
    """Every place with the cheapest way there, its last moment, and its tempo as real seconds a written one."""

    cost: Costs
    moment: Costs
    pace: Costs


def follow(
    written: Sequence[float],
    heard: Sequence[float],
    pitches: PitchCosts,
    extras: PitchCosts | None = None,
    *,
    rolls: Sequence[float] = (),
) -> tuple[int | None, ...]:
    """For each heard stroke the index of its place, None where it is none.

    Args:
        written: seconds of the places at the tempo asked for, in order.
        heard: seconds of the strokes, in order; a chord is one.
        pitches: what each place costs by pitch.
        extras: what it costs at each place that a stroke is none of the score's; `EXTRA` where None.
        rolls: written seconds after each place in which that cost is good, `EXTRA` later; always where empty.
    """
    if not len(written) or not len(heard):
        return (None,) * len(heard)
    path = _Path(np.asarray(written, float), np.asarray(rolls or np.full(len(written), np.inf), float))
    for j, second in enumerate(heard):
        path.stroke(second, pitches(j), extras(j) if extras else np.full(len(written), EXTRA))
    return path.places()


class _Path:
    """The path while it is being found."""

    def __init__(self, written: Costs, rolls: Costs) -> None:
        self.written, self.rolls, self.index = written, rolls, np.arange(len(written))
        size = len(written)
        self.state = _Places(np.full(size, _INFINITE), np.zeros(size), np.ones(size))
        self.back: list[tuple[int, NDArray[np.int32]]] = []
        self.lost = _LOST
        self.last = -_INFINITE

    def stroke(self, second: float, pitch: Costs, extra: Costs) -> None:
        """One more stroke."""
        best = int(np.argmin(self.state.cost))
        self.lost = _LOST if not self.back or second - self.last > 4 * _PAUSE else max(0, self.lost - 1)
        size = len(self.written)
        low, high = (0, size) if self.lost else (max(0, best - _AROUND), min(size, best + _AROUND))
        step = (
            self._begun(second, pitch)
            if not self.back
            else self._gone_on(second, pitch, extra, slice(low, high), best=best)
        )
        self.back.append((low if self.back else 0, step))
        self.last = second

    def places(self) -> tuple[int | None, ...]:
        """The cheapest path back from the end."""
        place = int(np.argmin(self.state.cost))
        at: list[int | None] = [None] * len(self.back)
        for j in range(len(self.back) - 1, -1, -1):
            low, step = self.back[j]
            if not low <= place < low + len(step):
                continue
            came = int(step[place - low])
            if came == _NOTHING:
                continue
            at[j] = place
            if came == _START:
                break
            place = came if came >= 0 else _JUMPED - came
        return tuple(at)

    def _begun(self, second: float, pitch: Costs) -> NDArray[np.int32]:
        self.state.cost[:] = pitch + np.minimum(self.index * _MISSED, _JUMP)
        self.state.moment[:] = second
        return np.full(len(self.written), _START, np.int32)

    def _gone_on(self, second: float, pitch: Costs, extra: Costs, window: slice, *, best: int) -> NDArray[np.int32]:
        """Costs of all places in the window after one more stroke; where each came from."""
        low, high = window.start, window.stop
        moment, pace = self.state.moment[window], self.state.pace[window]
        is_over = second - moment > _ROLL_LONGER * pace * self.rolls[window] + _ROLL_SLACK
        stay = self.state.cost[window] + np.where(is_over, np.maximum(extra[window], EXTRA), extra[window])
        size = high - low
        new = np.full(size, _INFINITE)
        came = np.full(size, _NOTHING, np.int32)
        at, goes = np.full(size, second), pace.copy()
        for skipped in range(1, min(_SKIPPED, size - 1) + 1):
            step, paced = self._step(second, low, high, skipped=skipped)
            total = step + pitch[low + skipped : high]
            better = total < new[skipped:]
            new[skipped:][better] = total[better]
            came[skipped:][better] = self.index[low : high - skipped][better]
            goes[skipped:][better] = paced[better]
        jump = self.state.cost[best] + _JUMP + (0.0 if second - self.state.moment[best] > _PAUSE else _HARD_JUMP)
        jumps = jump + pitch[low:high] + np.minimum(_FARTHER * np.abs(self.index[low:high] - best), _FARTHEST)
        jumped = jumps < new
        new[jumped] = jumps[jumped]
        came[jumped] = _JUMPED - best
        goes[jumped] = self.state.pace[best]
        stays = stay <= new
        came[stays] = _NOTHING
        new, at = np.where(stays, stay, new), np.where(stays, moment, at)
        self._settle(low, high, new, at, np.where(stays, pace, goes))
        return came

    def _step(self, second: float, low: int, high: int, *, skipped: int) -> tuple[Costs, Costs]:
        """What going on by so many places costs by time and by what is left out, and the tempo that follows."""
        before = slice(low, high - skipped)
        written = self.written[low + skipped : high] - self.written[before]
        gone, pace = second - self.state.moment[before], self.state.pace[before]
        spread = _SPREAD + _RELATIVE * np.minimum(written, 2.0)
        off = (gone - pace * written) / spread
        cost = self.state.cost[before] + (skipped - 1) * _MISSED + np.minimum(0.5 * off**2, _FAR)
        weight = _ADAPTS * np.clip(written / 0.5, 0.1, 1.0)
        change = np.clip(gone / np.maximum(written, 0.05) - pace, -0.3, 0.3)
        return cost, np.clip(pace + weight * change, _FASTEST, _SLOWEST)

    def _settle(self, low: int, high: int, cost: Costs, moment: Costs, pace: Costs) -> None:
        # Outside the window nothing was looked at: every stroke there would be one too many.
        self.state.cost[:low] += EXTRA
        self.state.cost[high:] += EXTRA
        self.state.cost[low:high] = cost
        self.state.moment[low:high] = moment
        self.state.pace[low:high] = pace

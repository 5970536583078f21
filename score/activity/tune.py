"""Who carries the tune, bar by bar: a small heuristic, not analysis.

Common practice, no source. A line is heard as the tune when it moves by step, lies on top and is louder
than the rest; a figure that repeats its own bar is heard as an accompaniment. In points for each bar:

- movement: 2 for each step of 1 to 4 semitones from one stroke to the next (over the barline too), 1 for
  each leap, nothing for a repeated pitch; at most 16. Unpitched strokes give 1 for each onset, at most 6.
- a bar that repeats the player's bar before, pitch for pitch and place for place, keeps half of that, and
  its height does not count.
- height: 6 for the highest mean of the tops among the others who move, 3 for the second of three or more.
- loudness: 3 for each dynamic step above the softest who strikes in the bar.

The tune stays where it is until somebody beats the carrier by `MARGIN`, so that it does not flicker, and
nobody carries it in a bar in which nobody reaches `LEAST`.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from score.activity.who_moves import Activity, BarActivity

STEP, LEAP, MOST_MOVEMENT, MOST_UNPITCHED = 2, 1, 16, 6
TOP, SECOND, LOUDER = 6, 3, 3
LEAST, MARGIN = 8, 4


@lru_cache(maxsize=1)
def tune_carriers(facts: Activity) -> tuple[int | None, ...]:
    """Row of the player who carries the tune in each bar, None where nobody does."""
    carriers: list[int | None] = []
    carrier: int | None = None
    for points in tune_points(facts):
        best = max(range(len(points)), key=lambda row: points[row], default=None)
        if best is None or points[best] < LEAST:
            carrier = None
        elif carrier is None or points[best] >= points[carrier] + MARGIN:
            carrier = best
        carriers.append(carrier)
    return tuple(carriers)


def tune_points(facts: Activity) -> list[list[int]]:
    """Points for carrying the tune: ``[bar][row]``; 0 for whoever does not strike."""
    movements = [_movements(row) for row in facts.rows]
    by_bar: list[list[int]] = []
    for bar in range(facts.bars):
        here = [row[bar] for row in facts.rows]
        moving = [movement[bar] for movement in movements]
        fresh = [bool(moved) and not _repeats(row, bar) for row, moved in zip(facts.rows, moving, strict=True)]
        extras = zip(_heights(here, fresh), _loudness(here), strict=True)
        by_bar.append([m + h + d if m else 0 for m, (h, d) in zip(moving, extras, strict=True)])
    return by_bar


def _movements(row: Sequence[BarActivity]) -> list[int]:
    movements: list[int] = []
    last: int | None = None
    for index, here in enumerate(row):
        pitched = [top for top in here.tops if top is not None]
        line = pitched if last is None or not here.onsets else [last, *pitched]
        moved = sum(_movement(b - a) for a, b in pairwise(line))
        moved = min(moved, MOST_MOVEMENT) if pitched else min(len(here.onsets), MOST_UNPITCHED)
        movements.append((moved + 1) // 2 if _repeats(row, index) else moved)
        last = pitched[-1] if pitched else None
    return movements


def _movement(interval: int) -> int:
    return 0 if interval == 0 else STEP if abs(interval) <= 4 else LEAP


def _repeats(row: Sequence[BarActivity], bar: int) -> bool:
    if not bar or not row[bar].onsets:
        return False
    return (row[bar - 1].tops, row[bar - 1].onsets) == (row[bar].tops, row[bar].onsets)


def _heights(here: Sequence[BarActivity], fresh: Sequence[bool]) -> list[int]:
    means = {}
    for row, (doing, counts) in enumerate(zip(here, fresh, strict=True)):
        pitched = [top for top in doing.tops if top is not None]
        if counts and pitched:
            means[row] = sum(pitched) / len(pitched)
    order = sorted(means, key=lambda row: (-means[row], row))
    points = [0] * len(here)
    for row, value in zip(order, (TOP, SECOND) if len(order) > 2 else (TOP,), strict=False):
        points[row] = value
    return points


def _loudness(here: Sequence[BarActivity]) -> list[int]:
    softest = min((doing.level for doing in here if doing.level is not None), default=0)
    return [LOUDER * (doing.level - softest) if doing.level is not None else 0 for doing in here]

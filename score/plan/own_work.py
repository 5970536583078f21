"""Each player's own work, day by day, a rehearsal ahead of the group.

What the group takes up in a rehearsal is practised alone before the rehearsal that comes before it; for the first
two rehearsals, before the first. A chunk comes up on up to three days rather than once for long (a heuristic; see
`score.plan.plan_tasks`), the most demanding first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil

from score.plan.plan_inputs import USUAL_MINUTES_A_DAY, Material, PlanInputs
from score.plan.plan_tasks import PlanTask, TaskKind
from score.plan.rehearsal_choice import TaskChoice

_LEAST, _PER_OWN, _SLOT, _DAYS = 4.0, 18.0, 8, 3
_AHEAD = 14
"""Days before a chunk must be known on which work on it begins: scores arrive about two weeks ahead."""


@dataclass(frozen=True, slots=True)
class OwnSlot:
    """A few minutes with one chunk.

    Attributes:
        chunk: its position.
        minutes: how long.
    """

    chunk: int
    minutes: int


@dataclass(frozen=True, slots=True)
class OwnDay:
    """A player's day.

    Attributes:
        day: the date.
        slots: in order.
    """

    day: date
    slots: tuple[OwnSlot, ...]


@dataclass(frozen=True, slots=True)
class OwnWork:
    """A player's days up to the last rehearsal.

    Attributes:
        player: number.
        days: days with something to do.
        left: (chunk, minutes) that found no time before it was needed.
        by_heart: minutes a day that are set aside for what is learnt by heart.
    """

    player: int
    days: tuple[OwnDay, ...]
    left: tuple[tuple[int, int], ...]
    by_heart: int = 0


def own_minutes(own: float) -> int:
    """Minutes of own work a chunk wants, from its own-work figure."""
    return ceil(_LEAST + _PER_OWN * own) if own > 0 else 0


def own_work(tasks: Sequence[PlanTask], inputs: PlanInputs, choice: TaskChoice) -> tuple[OwnWork, ...]:
    """Every player's own work."""
    due = _due(tasks, inputs, choice)
    a_day, by_heart = dict(inputs.minutes_a_day), dict(inputs.by_heart)
    works = []
    for number, _ in inputs.players:
        minutes = a_day.get(number, USUAL_MINUTES_A_DAY)
        aside = min(minutes, by_heart.get(number, 0))
        works.append(replace(_player(number, minutes - aside, inputs, due), by_heart=aside))
    return tuple(works)


def _due(tasks: Sequence[PlanTask], inputs: PlanInputs, choice: TaskChoice) -> list[date]:
    """The day by which each chunk must be known: that of the rehearsal before its first."""
    days = [rehearsal.start.date() for rehearsal in inputs.rehearsals]
    due = [days[-1]] * len(inputs.chunks)
    for day in reversed(range(len(days))):
        for position in choice.visits[day]:
            task = tasks[position]
            if task.kind is not TaskKind.WHOLE:
                for chunk in range(task.first, task.last + 1):
                    due[chunk] = days[max(0, day - 1)]
    return due


def _player(number: int, a_day: int, inputs: PlanInputs, due: Sequence[date]) -> OwnWork:
    wanted = {i: own_minutes(_own(chunk, number)) for i, chunk in enumerate(inputs.chunks) if chunk.repeats is None}
    wanted = {i: minutes for i, minutes in wanted.items() if minutes}
    left = dict(wanted)
    visits = dict.fromkeys(wanted, 0)
    days = []
    slots: tuple[OwnSlot, ...] = ()
    last = inputs.rehearsals[-1].start.date()
    # Nothing is begun before that; a concert may be far away, or its year mistyped.
    begins = min((due[i] for i in wanted), default=last) - timedelta(days=_AHEAD)
    day = max(inputs.today, begins)
    while day <= last:
        slots = _day(day, a_day, left, visits, wanted, due, [slot.chunk for slot in slots])
        if slots:
            days.append(OwnDay(day, slots))
        day += timedelta(days=1)
    return OwnWork(number, tuple(days), tuple((i, minutes) for i, minutes in left.items() if minutes > 0))


def _day(
    day: date,
    minutes: int,
    left: dict[int, int],
    visits: dict[int, int],
    wanted: dict[int, int],
    due: Sequence[date],
    done_yesterday: Sequence[int],
) -> tuple[OwnSlot, ...]:
    slots: list[OwnSlot] = []
    yesterday = set(done_yesterday)
    for i in sorted(left, key=lambda i: (due[i], visits[i], -wanted[i], i)):
        begun = (due[i] - day).days <= _AHEAD
        if left[i] <= 0 or day > due[i] or not begun:
            continue
        # A day between two visits, until the time gets short.
        if i in yesterday and (due[i] - day).days > 3:
            continue
        # Shared over up to three days; what is left on the day before it is due is done then.
        share = max(min(_SLOT, left[i]), ceil(wanted[i] / _DAYS))
        if (due[i] - day).days <= 1:
            share = left[i]
        share = min(share, left[i], minutes)
        if share < min(3, left[i]):
            continue
        slots.append(OwnSlot(i, share))
        left[i] -= share
        visits[i] += 1
        minutes -= share
    return tuple(slots)


def _own(chunk: Material, player: int) -> float:
    return next((own for number, own in chunk.own if number == player), 0.0)

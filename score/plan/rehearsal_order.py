"""The order of a rehearsal's tasks, with breaks.

Common practice, no source: something known first, the hardest work second while ears are fresh, breaks about
halfway, runs towards the end, the whole last. Each rehearsal begins at another place in the piece, so that the
end of the piece is not always left for last; a join follows its chunks and a run its joins.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from score.plan.plan_inputs import PlanInputs, Rehearsal
from score.plan.plan_tasks import PlanTask, TaskKind, difficulty
from score.plan.rehearsal_choice import BREAK_MINUTES, TaskChoice, break_count


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a rehearsal.

    Attributes:
        kind: what is done.
        first, last: positions of the chunks, both included; (0, -1) for a break.
        minutes: how long.
        begins: minutes after the rehearsal's start.
        reason: why, in words.
    """

    kind: TaskKind
    first: int
    last: int
    minutes: int
    begins: int
    reason: str


def items_of(tasks: Sequence[PlanTask], inputs: PlanInputs, choice: TaskChoice) -> tuple[tuple[Item, ...], ...]:
    """Every rehearsal's lines in order."""
    seen: dict[int, int] = {}
    by_day = []
    for day, (rehearsal, here) in enumerate(zip(inputs.rehearsals, choice.visits, strict=True)):
        order = day_order(tasks, inputs, here, day)
        by_day.append(_timed(tasks, inputs, rehearsal, order, seen, last=day == len(inputs.rehearsals) - 1))
        for position in here:
            seen[position] = seen.get(position, 0) + 1
    return tuple(by_day)


def day_order(tasks: Sequence[PlanTask], inputs: PlanInputs, here: Sequence[int], day: int) -> list[int]:
    """The order in which a rehearsal's tasks are taken up."""
    chunks = [p for p in here if tasks[p].kind is TaskKind.CHUNK]
    others = [p for p in here if tasks[p].kind in (TaskKind.JOIN, TaskKind.RUN)]
    whole = [p for p in here if tasks[p].kind is TaskKind.WHOLE]
    hardness = {p: difficulty(inputs.chunks[tasks[p].first]) for p in chunks}
    turned = _turned(chunks, day, len(inputs.rehearsals))
    if len(turned) > 2:
        easiest = min(turned, key=lambda p: hardness[p])
        hardest = max(turned, key=lambda p: hardness[p])
        rest = [p for p in turned if p not in (easiest, hardest)]
        turned = [easiest, hardest, *rest] if easiest != hardest else turned
    return [*_woven(tasks, turned, others), *whole]


def _turned(chunks: list[int], day: int, days: int) -> list[int]:
    """Score order begun at another place each day."""
    if not chunks:
        return []
    start = (day * len(chunks)) // max(1, min(days, 3)) % len(chunks)
    return chunks[start:] + chunks[:start]


def _woven(tasks: Sequence[PlanTask], chunks: Sequence[int], others: Sequence[int]) -> list[int]:
    """Joins as soon as the chunks of the day that they wait for are done, runs after their joins."""
    order: list[int] = []
    waiting = sorted(others, key=lambda p: (tasks[p].kind is TaskKind.RUN, p))
    today = {*chunks, *others}
    for position in [*chunks, None]:
        if position is not None:
            order.append(position)
        for other in list(waiting):
            if set(tasks[other].after) & today <= set(order):
                order.append(other)
                waiting.remove(other)
    return [*order, *waiting]


def _timed(
    tasks: Sequence[PlanTask],
    inputs: PlanInputs,
    rehearsal: Rehearsal,
    order: Sequence[int],
    seen: dict[int, int],
    last: bool,
) -> tuple[Item, ...]:
    breaks = break_count(rehearsal)
    stretch = rehearsal.minutes / (breaks + 1)
    items: list[Item] = []
    clock, taken = 0, 0
    for position in order:
        task = tasks[position]
        if taken < breaks and clock and clock + task.minutes / 2 > stretch * (taken + 1):
            items.append(Item(TaskKind.BREAK, 0, -1, minutes=BREAK_MINUTES, begins=clock, reason="rest hands and ears"))
            clock, taken = clock + BREAK_MINUTES, taken + 1
        reason = visit_reason(task, inputs, rehearsal, seen.get(position, 0), last)
        items.append(Item(task.kind, task.first, task.last, minutes=task.minutes, begins=clock, reason=reason))
        clock += task.minutes
    return tuple(items)


def visit_reason(task: PlanTask, inputs: PlanInputs, rehearsal: Rehearsal, before: int, last: bool) -> str:
    """Why a task stands in a rehearsal, in words.

    Args:
        task: the task.
        inputs: the piece.
        rehearsal: who is missing is said by number.
        before: how often it came up before.
        last: it is the last rehearsal.
    """
    if task.kind is TaskKind.WHOLE:
        return "the last rehearsal: play through" if last else "a first run of the whole"
    if task.kind is TaskKind.RUN:
        return "keep going over the joins"
    if task.kind is TaskKind.JOIN:
        return "the end of one into the start of the next" if before == 0 else "the join again"
    missing = sorted(task.needed & set(rehearsal.missing))
    without = f", without {', '.join(map(str, missing))}" if missing else ""
    hard = difficulty(inputs.chunks[task.first])
    words = ("first look", "again, after some days", "once more")[min(before, 2)]
    return f"{words}{', hard together' if hard > 0.6 else ''}{without}"

"""The plan: rehearsals with their lines, everybody's own days, and what does not fit."""

from dataclasses import dataclass

from score.plan.own_work import OwnWork, own_work
from score.plan.plan_inputs import PlanInputs, checked
from score.plan.plan_tasks import PlanTask, TaskKind, tasks_of
from score.plan.rehearsal_choice import choose, playing_minutes
from score.plan.rehearsal_order import Item, items_of


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan.

    Attributes:
        inputs: what it was made from, rehearsals in order of time.
        items: each rehearsal's lines.
        own: each player's own work.
        left_out: what found no time, in words.
    """

    inputs: PlanInputs
    items: tuple[tuple[Item, ...], ...]
    own: tuple[OwnWork, ...]
    left_out: tuple[str, ...]


def make_plan(inputs: PlanInputs) -> Plan:
    """The best plan for these rehearsals.

    Raises:
        RequestError: dates or minutes that cannot be.
    """
    inputs = checked(inputs)
    tasks = tasks_of(inputs.chunks)
    choice = choose(tasks, inputs)
    own = own_work(tasks, inputs, choice)
    left = [_left(task, inputs) for task in (tasks[position] for position in choice.left_out)]
    names = dict(inputs.players)
    for player in own:
        for chunk, minutes in player.left:
            left.append(f"{names[player.player]}: no day left for {minutes} minutes of {inputs.chunks[chunk].name}")
    return Plan(inputs, items_of(tasks, inputs, choice), own, left_out=tuple(left))


def item_name(inputs: PlanInputs, item: Item) -> str:
    """What is rehearsed, in words."""
    if item.kind is TaskKind.BREAK:
        return "break"
    if item.kind is TaskKind.WHOLE:
        return "the whole"
    first, last = inputs.chunks[item.first].name, inputs.chunks[item.last].name
    if item.kind is TaskKind.CHUNK:
        return first
    return f"join {first} | {last}" if item.kind is TaskKind.JOIN else f"run {first} to {last}"


def _left(task: PlanTask, inputs: PlanInputs) -> str:
    name = item_name(inputs, Item(task.kind, task.first, task.last, minutes=task.minutes, begins=0, reason=""))
    most = max(playing_minutes(rehearsal) for rehearsal in inputs.rehearsals)
    if task.minutes > most:
        return f"{name}: {task.minutes} minutes, longer than any rehearsal"
    return f"{name}: no time for its {task.minutes} minutes"

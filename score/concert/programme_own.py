"""Everybody's own days over all pieces: one list of chunks, so that a day's minutes are shared out among them."""

from dataclasses import replace

from score.concert.programme import Programme
from score.concert.programme_choice import ProgrammeChoice
from score.plan.own_work import OwnWork, own_work
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal
from score.plan.plan_tasks import PlanTask
from score.plan.rehearsal_choice import TaskChoice


def merged_own_work(programme: Programme, choice: ProgrammeChoice) -> tuple[OwnWork, ...]:
    """Each person's own work; chunks are counted through all pieces, people as in the programme."""
    chunks: list[Material] = []
    tasks: list[PlanTask] = []
    visits: list[list[int]] = [[] for _ in programme.evenings]
    for piece, entry in enumerate(programme.pieces):
        before = len(chunks)
        for day, here in enumerate(choice.visits[piece]):
            visits[day] += [len(tasks) + position for position in here]
        tasks += [replace(task, first=task.first + before, last=task.last + before) for task in entry.tasks]
        chunks += [_moved(chunk, before) for chunk in entry.chunks]
    inputs = PlanInputs(
        programme.title,
        tuple(chunks),
        tuple(Rehearsal(evening.start, evening.minutes) for evening in programme.evenings),
        concert=programme.concert,
        today=programme.today,
        minutes_a_day=tuple(enumerate(programme.minutes_a_day)),
        players=tuple(enumerate(programme.people)),
        by_heart=tuple(enumerate(programme.by_heart)),
    )
    return own_work(tasks, inputs, TaskChoice(tuple(map(tuple, visits)), ()))


def _moved(chunk: Material, before: int) -> Material:
    return chunk if chunk.repeats is None else replace(chunk, repeats=chunk.repeats + before)

"""Which tasks in which rehearsal: an integer program, solved by HiGHS through SciPy.

Maximised: the worth of every visit (the first to a task is worth most), plus a little for early visits and for
late runs, less a little for visiting a chunk in two rehearsals running where there are more than two. Subject to:

- a rehearsal's minutes, less its breaks, are never exceeded;
- a task is visited at most once a rehearsal, joins, runs and the whole only where nobody they need is missing; a
  chunk may be worked on without somebody it needs, but is worth less then, so that chunks which can do without
  come first;
- a join only after both its chunks, a run only after all its joins, on the same day at the earliest;
- the whole at the last rehearsal where it fits and nobody is missing. That one is not held up by joins that
  found no time: a group plays through before a concert in any case.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from score.plan.plan_inputs import PlanInputs, Rehearsal
from score.plan.plan_tasks import PlanTask, TaskKind

EARLY, LATE, IN_A_ROW, WITHOUT = 0.04, 0.04, 0.06, 0.15
BREAK_MINUTES, BREAK_AFTER = 10, 60
_SECONDS, _GAP = 1.5, 0.002


@dataclass(frozen=True, slots=True)
class TaskChoice:
    """What was chosen.

    Attributes:
        visits: for each rehearsal, positions of its tasks, ascending.
        left_out: positions of the tasks never visited.
    """

    visits: tuple[tuple[int, ...], ...]
    left_out: tuple[int, ...]


def playing_minutes(rehearsal: Rehearsal) -> int:
    """Minutes of a rehearsal without its breaks: ten for each full hour after which more than a quarter follows."""
    return rehearsal.minutes - BREAK_MINUTES * break_count(rehearsal)


def break_count(rehearsal: Rehearsal) -> int:
    """How many breaks a rehearsal has."""
    return max(0, (rehearsal.minutes - 15) // BREAK_AFTER)


def can_do(task: PlanTask, rehearsal: Rehearsal) -> bool:
    """Whether a task can be done at all: a chunk without somebody it needs, anything else only with everybody."""
    missing = set(rehearsal.missing)
    if task.kind is TaskKind.CHUNK:
        return not task.needed or bool(task.needed - missing)
    return not task.needed & missing


def must_run_whole(tasks: Sequence[PlanTask], inputs: PlanInputs) -> bool:
    """Whether the last rehearsal has a run of the whole."""
    whole, last = tasks[-1], inputs.rehearsals[-1]
    return can_do(whole, last) and whole.minutes <= playing_minutes(last)


def worth(tasks: Sequence[PlanTask], inputs: PlanInputs, visits: Sequence[Sequence[int]]) -> float:
    """What a plan is worth: the objective that is maximised."""
    total = 0.0
    for position, task in enumerate(tasks):
        days = [day for day, done in enumerate(visits) if position in done]
        total += sum(task.worth[: len(days)]) + sum(visit_worth(task, day, inputs) for day in days)
        if task.kind is TaskKind.CHUNK and len(visits) > 2:
            total -= IN_A_ROW * sum(day + 1 in days for day in days)
    return total


def allowed(tasks: Sequence[PlanTask], inputs: PlanInputs, visits: Sequence[Sequence[int]]) -> bool:
    """Whether a plan keeps every rule above."""
    done: set[int] = set()
    last = len(visits) - 1
    for day, (rehearsal, here) in enumerate(zip(inputs.rehearsals, visits, strict=True)):
        if sum(tasks[position].minutes for position in here) > playing_minutes(rehearsal):
            return False
        done |= set(here)
        for position in here:
            task = tasks[position]
            free = task.kind is TaskKind.WHOLE and day == last and must_run_whole(tasks, inputs)
            if not can_do(task, rehearsal) or not (free or set(task.after) <= done):
                return False
    if must_run_whole(tasks, inputs) and len(tasks) - 1 not in visits[-1]:
        return False
    counts = [sum(position in here for here in visits) for position in range(len(tasks))]
    return all(count <= len(task.worth) for count, task in zip(counts, tasks, strict=True))


def choose(tasks: Sequence[PlanTask], inputs: PlanInputs) -> TaskChoice:
    """The best choice: within 0.2 % of the best there can be, or the best found in a second and a half."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    model = _Model(tasks, inputs)
    rows = model.rows()
    matrix = csr_array((model.values, (model.row_of, model.column_of)), shape=(len(rows), model.size), dtype=np.float64)
    low, high = np.array([row[0] for row in rows]), np.array([row[1] for row in rows])
    solved = milp(
        -np.array(model.gains),
        integrality=np.ones(model.size),
        bounds=Bounds(np.array(model.least), np.array(model.most)),
        constraints=LinearConstraint(matrix, low, high),
        options={"time_limit": _SECONDS, "mip_rel_gap": _GAP},
    )
    visits = _visits(solved.x, model) if solved.x is not None else tuple(() for _ in inputs.rehearsals)
    seen = {position for here in visits for position in here}
    return TaskChoice(visits, tuple(position for position in range(len(tasks)) if position not in seen))


def _visits(values: Any, model: "_Model") -> tuple[tuple[int, ...], ...]:
    days = len(model.inputs.rehearsals)
    return tuple(tuple(p for p in range(len(model.tasks)) if values[model.visit(p, day)] > 0.5) for day in range(days))


def visit_worth(task: PlanTask, day: int, inputs: PlanInputs) -> float:
    """What the day adds to a visit's worth or takes from it."""
    share = day / max(1, len(inputs.rehearsals) - 1)
    without = WITHOUT * task.worth[0] if task.needed & set(inputs.rehearsals[day].missing) else 0.0
    return (LATE * share if task.kind in (TaskKind.RUN, TaskKind.WHOLE) else EARLY * (1 - share)) - without


class _Model:
    """Variables: visit (task, day), counted visit (task, number), and visited two days running (chunk, day)."""

    def __init__(self, tasks: Sequence[PlanTask], inputs: PlanInputs) -> None:
        self.tasks, self.inputs, self.days = tasks, inputs, len(inputs.rehearsals)
        self.counted: dict[tuple[int, int], int] = {}
        self.running: dict[tuple[int, int], int] = {}
        self.gains: list[float] = []
        self.least: list[float] = []
        self.most: list[float] = []
        self._variables()
        self.size = len(self.gains)
        self.row_of: list[int] = []
        self.column_of: list[int] = []
        self.values: list[float] = []
        self._bounds: list[tuple[float, float]] = []

    def visit(self, task: int, day: int) -> int:
        """Column of a visit."""
        return task * self.days + day

    def rows(self) -> list[tuple[float, float]]:
        """Every constraint's bounds; its coefficients stand in `row_of`, `column_of`, `values`."""
        for day, rehearsal in enumerate(self.inputs.rehearsals):
            minutes = {self.visit(p, day): float(task.minutes) for p, task in enumerate(self.tasks)}
            self._row(minutes, 0, playing_minutes(rehearsal))
        free = must_run_whole(self.tasks, self.inputs)
        for position, task in enumerate(self.tasks):
            self._count(position, task)
            for day in range(self.days):
                if not (free and task.kind is TaskKind.WHOLE and day == self.days - 1):
                    for before in task.after:
                        self._follow(position, before, day)
        for (position, day), column in self.running.items():
            pair = {self.visit(position, day): 1.0, self.visit(position, day + 1): 1.0, column: -1.0}
            self._row(pair, -1, 1)
        return self._bounds

    def _variables(self) -> None:
        whole = len(self.tasks) - 1 if must_run_whole(self.tasks, self.inputs) else -1
        for position, task in enumerate(self.tasks):
            for day, rehearsal in enumerate(self.inputs.rehearsals):
                must = position == whole and day == self.days - 1
                self._variable(visit_worth(task, day, self.inputs), float(must), float(can_do(task, rehearsal)))
        for position, task in enumerate(self.tasks):
            for number, gain in enumerate(task.worth):
                self.counted[position, number] = self._variable(gain, 0.0, 1.0)
        if self.days > 2:
            for position, task in enumerate(self.tasks):
                if task.kind is TaskKind.CHUNK:
                    for day in range(self.days - 1):
                        self.running[position, day] = self._variable(-IN_A_ROW, 0.0, 1.0)

    def _variable(self, gain: float, least: float, most: float) -> int:
        self.gains.append(gain)
        self.least.append(least)
        self.most.append(most)
        return len(self.gains) - 1

    def _count(self, position: int, task: PlanTask) -> None:
        """As many visits are counted as there are; worth falls from visit to visit, so the first count first."""
        row = {self.visit(position, day): 1.0 for day in range(self.days)}
        row |= {self.counted[position, number]: -1.0 for number in range(len(task.worth))}
        self._row(row, 0, 0)

    def _follow(self, position: int, before: int, day: int) -> None:
        row = {self.visit(before, earlier): 1.0 for earlier in range(day + 1)}
        row[self.visit(position, day)] = -1.0
        self._row(row, 0, float(self.days))

    def _row(self, coefficients: dict[int, float], low: float, high: float) -> None:
        number = len(self._bounds)
        for column, value in coefficients.items():
            self.row_of.append(number)
            self.column_of.append(column)
            self.values.append(value)
        self._bounds.append((low, high))

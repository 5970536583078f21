"""A plan for 40 chunks, 8 rehearsals, 4 players: seconds, and how that compares with reading a movement.

Run by hand: python -m pytest tests/bench/bench_plan.py -s
"""

import random
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

from score.plan.plan import make_plan
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal
from score.plan.plan_tasks import tasks_of
from score.plan.rehearsal_choice import allowed, choose
from score.reading import read_score
from tests.bench.cpu_time import cpu_seconds

SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
MOST = 10
"""Times a movement of 116 bars is read meanwhile; two seconds on the machine it was set on."""


def big(seed: int) -> PlanInputs:
    chance = random.Random(seed)
    players = tuple((n, f"Player {n}") for n in (1, 2, 3, 4))
    chunks = tuple(
        Material(
            f"chunk {i + 1}",
            chance.uniform(15, 45),
            chance.random(),
            tuple((n, chance.random()) for n, _ in players),
            tuple(n for n, _ in players if chance.random() < 0.9) or (1,),
        )
        for i in range(40)
    )
    rehearsals = tuple(
        Rehearsal(datetime(2027, 3, 2, 19) + timedelta(days=2 * i), 120, (2,) if i == 3 else ()) for i in range(8)
    )
    return PlanInputs("Big", chunks, rehearsals, date(2027, 4, 1), date(2027, 2, 20), (), players)


def test_a_large_plan_takes_about_as_long_as_reading_a_few_movements() -> None:
    make_plan(big(0))
    for seed in range(5):
        inputs = big(seed)
        seconds, reading = cpu_seconds(partial(make_plan, inputs)), cpu_seconds(partial(read_score, SAMPLE))
        tasks = tasks_of(inputs.chunks)
        assert allowed(tasks, inputs, choose(tasks, inputs).visits)
        print(f"  40 chunks, 8 rehearsals, 4 players: {seconds:.2f} s of CPU, {seconds / reading:.1f} x reading")
        assert seconds < MOST * reading

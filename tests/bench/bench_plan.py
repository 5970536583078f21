"""A plan for 40 chunks, 8 rehearsals, 4 players: seconds.

Run by hand: python -m pytest tests/bench/bench_plan.py -s
"""

import random
import time
from datetime import date, datetime, timedelta

from score.plan.plan import make_plan
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal
from score.plan.plan_tasks import tasks_of
from score.plan.rehearsal_choice import allowed, choose


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


def test_a_large_plan_takes_less_than_two_seconds() -> None:
    make_plan(big(0))
    for seed in range(5):
        given = big(seed)
        start = time.perf_counter()
        make_plan(given)
        seconds = time.perf_counter() - start
        tasks = tasks_of(given.chunks)
        assert allowed(tasks, given, choose(tasks, given).visits)
        print(f"  40 chunks, 8 rehearsals, 4 players: {seconds:.2f} s")
        assert seconds < 2.0

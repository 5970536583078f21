"""A calendar for 5 pieces, 12 rehearsals, 8 people in ten seconds: how far it can be from the best.

Run by hand, on a quiet machine: python -m pytest tests/bench/bench_concert.py -s
"""

import time
from statistics import median

from score.concert.programme_solving import solve_programme
from tests.concert.drawn_programmes import drawn_programme

NAMED = range(1, 10)
"""Seeds of the set of programmes that the figures are given for."""


def test_a_calendar_is_near_the_best_in_ten_seconds() -> None:
    gaps = []
    for seed in NAMED:
        programme = drawn_programme(seed)
        wall, own = time.perf_counter(), time.process_time()
        solved = solve_programme(programme, 10.0)
        wall, own = time.perf_counter() - wall, time.process_time() - own
        gaps.append(solved.gap)
        tasks = sum(len(piece.tasks) for piece in programme.pieces)
        print(
            f"{programme.title}: {tasks} tasks, worth {solved.worth:.1f}, bound {solved.bound:.1f}, gap "
            f"{100 * solved.gap:.2f} %, piece by piece {solved.by_piece:.1f}; {wall:.1f} s, {own:.1f} s of a core"
        )
        assert solved.by_piece <= solved.worth <= solved.bound
        assert wall < 11.0
    print(f"median {100 * median(gaps):.2f} %, largest {100 * max(gaps):.2f} %")
    assert max(gaps) <= 0.05
    assert median(gaps) <= 0.02

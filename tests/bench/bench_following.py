"""How close the others keep to a player they follow: a table, with seeds that no threshold was chosen on.

Run by hand: python -m pytest tests/bench/bench_following.py -s
"""

import statistics
import time

import pytest

from score.following.follower import Follower
from score.following.leader_moments import leader_moments
from tests.following.performances import arcs, performance, ritardando, steady
from tests.following.test_following import LONG, PIECE, PULSE, misses, robust

ROWS = {
    "steady": (steady, {}, 13),
    "steady, give 0.75": (steady, {"give": 0.75}, 13),
    "steady, 3 % missed, wrong, 2 % extra": (steady, {"errors": 0.03}, 14),
    "the same without pitch": (steady, {"errors": 0.03, "blind": True}, 20),
    "phrases bent by 10 %": (arcs, {}, 50),
    "the same with errors": (arcs, {"errors": 0.03}, 75),
    "ritardandi to two thirds": (ritardando, {}, 50),
}


@pytest.mark.parametrize("row", ROWS)
def test_how_close(row: str) -> None:
    rate, more, most = ROWS[row]
    off = misses(rate, **more)  # type: ignore[arg-type]
    far = 100 * sum(abs(value) > 100 for value in off) / len(off)
    ordered = sorted(map(abs, off))
    print(
        f"\n  {row}: SD {statistics.pstdev(off):.1f} ms, robust {robust(off):.1f}, "
        f"p95 {ordered[int(0.95 * len(ordered))]:.0f}, over 100 ms {far:.2f} %, {len(off)} strokes"
    )
    assert statistics.pstdev(off) <= most


def test_a_thousand_strokes_a_second_can_be_kept_up_with() -> None:
    moments = leader_moments(PIECE, LONG, 1, PULSE)
    follower, spent = Follower(moments), []
    for stroke in performance(moments, 106, errors=0.03).take:
        start = time.thread_time()
        follower.heard(stroke.moment, stroke.pitch)
        spent.append(time.thread_time() - start)
    spent.sort()
    median, p99 = spent[len(spent) // 2], spent[int(0.99 * len(spent))]
    print(f"\n  a stroke: median {1e6 * median:.0f} us, p99 {1e6 * p99:.0f} us of processor time")
    assert sum(spent) / len(spent) < 1e-3

"""What it costs to lie elsewhere, against SciPy's shortest ways through the same band as a graph."""

import numpy as np
import pytest
from scipy.sparse import lil_array
from scipy.sparse.csgraph import dijkstra

from score.recording.elsewhere import STEP, prices

FRAMES, PLACES = 14, 9


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("least", [1, 3])
def test_prices_are_those_of_the_shortest_ways(seed: int, least: int) -> None:
    costs = np.random.default_rng(seed).exponential(0.2, (FRAMES, PLACES)).astype(np.float32)
    ahead = _shortest(costs)
    through = ahead + _shortest(costs[::-1])[::-1] - costs
    away = np.abs(np.arange(PLACES) - PLACES // 2) >= least
    expected = through[:, away].min(axis=1) - through[:, ~away].min(axis=1)
    assert prices(costs, least) == pytest.approx(expected, abs=1e-4)


def _shortest(costs: np.ndarray) -> np.ndarray:
    """From a source before the first frame to every place: an edge costs the place it leads to, and a step aside."""
    graph = lil_array((FRAMES * PLACES + 1, FRAMES * PLACES + 1))
    for place in range(PLACES):
        graph[FRAMES * PLACES, place] = costs[0, place]
    for frame in range(1, FRAMES):
        for place in range(PLACES):
            for before in range(max(0, place - 1), min(PLACES, place + 2)):
                price = costs[frame, place] + STEP * abs(place - before)
                graph[(frame - 1) * PLACES + before, frame * PLACES + place] = price
    return np.asarray(dijkstra(graph.tocsr(), indices=FRAMES * PLACES)[:-1].reshape(FRAMES, PLACES))


def test_a_long_rest_says_nothing_of_where_it_is_and_an_attack_does() -> None:
    costs = np.zeros((60, 31), np.float32)
    costs[30] = 1.0
    costs[30, 15] = 0.0
    cost = prices(costs, 5)
    assert cost[30] == pytest.approx(1.0)
    assert cost[2] == pytest.approx(5 * STEP)  # from there to the attack it must come back

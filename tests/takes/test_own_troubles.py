"""What takes teach about demands: found where it is so, not by chance, and checked against SciPy's rank correlation."""

import random
from fractions import Fraction

import pytest
from scipy.stats import spearmanr

from score.chunks.chunk import ChunkDemands, Demand, DemandSide, PlayerDemands
from score.chunks.demands import figure, own_scales
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.own_troubles import OwnTrouble, own_figure, own_trouble, trouble_in


def chunks(seed: int, count: int = 12) -> list[ChunkDemands]:
    chance = random.Random(seed)
    asked = []
    for index in range(count):
        values = {kind: chance.uniform(0.1, 1.0) * scale for kind, scale in own_scales().items()}
        demands = tuple(Demand(kind, DemandSide.OWN, v, unit="", bar=0, text="") for kind, v in values.items())
        own = PlayerDemands(1, demands, figure(values, own_scales()))
        asked.append(ChunkDemands(index, (own,), (), together=0.0))
    return asked


def values_of(asked: list[ChunkDemands], kind: str) -> list[float]:
    return [next(d.value for d in each.players[0].demands if d.kind == kind) for each in asked]


def test_the_measure_that_brings_trouble_is_found() -> None:
    asked = chunks(1)
    leaps = values_of(asked, "largest leap")
    chance = random.Random(2)
    troubles = {at: leap / 100 + chance.gauss(0, 0.02) for at, leap in enumerate(leaps)}
    learned = own_trouble(asked, 1, troubles)
    assert learned is not None
    assert (learned.kind, learned.chunks) == ("largest leap", 12)
    assert learned.rank == pytest.approx(spearmanr(leaps, list(troubles.values())).statistic)


def test_chance_teaches_nothing_in_nineteen_players_of_twenty() -> None:
    chance = random.Random(5)
    learned = [own_trouble(chunks(seed), 1, {at: chance.random() for at in range(12)}) for seed in range(24)]
    assert sum(each is not None for each in learned) <= 3


def test_few_chunks_teach_nothing() -> None:
    asked = chunks(1)
    assert own_trouble(asked, 1, {at: at / 10 for at in range(5)}) is None


def test_what_was_learned_makes_its_chunks_weigh_more_and_none_less() -> None:
    asked = chunks(3)
    learned = OwnTrouble("largest leap", 12, 0.9)
    for each, leap in zip(asked, values_of(asked, "largest leap"), strict=True):
        assert own_figure(each, 1, None) == each.own(1)
        assert own_figure(each, 1, learned) > each.own(1)
        more = 1 - (1 - each.own(1)) * 2.718281828459045 ** (-leap / own_scales()["largest leap"])
        assert own_figure(each, 1, learned) == pytest.approx(more)


def test_trouble_is_the_share_not_together_of_the_latest_passes() -> None:
    def a_pass(late: int, judged: bool = True) -> JudgedPass:
        states = [StrokeState.LATE] * late + [StrokeState.TOGETHER] * (10 - late) + [StrokeState.EXTRA] * 5
        return JudgedPass(
            tuple(JudgedStroke(0, Fraction(i), state) for i, state in enumerate(states)),
            judged,
            "",
            Delay(0.0, DelayFrom.CLOCK),
        )

    assert trouble_in([]) is None
    assert trouble_in([a_pass(3, judged=False)]) is None
    assert trouble_in([a_pass(10), a_pass(1), a_pass(2), a_pass(3)]) == pytest.approx(0.2)

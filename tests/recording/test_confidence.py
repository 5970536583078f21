"""How sure a bar is, bar by bar: whatever speaks against its place makes it less sure, and says so in its own words."""

import numpy as np
import pytest

from score.recording.confidence import NOT_SURE, BarEvidence, too_fast

CLEAR = BarEvidence(0.85, 0.7, first=0.7, margin=0.3, beat=0.05, elsewhere=1.4)


def test_a_bar_for_which_everything_speaks_is_sure() -> None:
    assert CLEAR.sure > 0.9
    assert not CLEAR.doubt


@pytest.mark.parametrize(
    ("against", "words"),
    [
        ({"strength": float("nan"), "contrast": float("nan"), "first": 0.0}, "nothing begins"),
        ({"elsewhere": -0.2, "first": 0.2, "margin": 0.0, "beat": 0.25}, "a little earlier or later"),
        ({"beat": 0.8, "first": 0.0, "margin": 0.0}, "longer or shorter"),
        ({"firm": 0.03, "margin": 0.0, "first": 0.4, "beat": 0.2}, "other places"),
        (
            {"strength": 0.2, "contrast": 0.05, "first": -0.1, "margin": 0.0, "elsewhere": 0.4, "beat": 0.2},
            "hardly told",
        ),
    ],
)
def test_what_speaks_against_its_place_is_said(against: dict[str, float], words: str) -> None:
    bar = CLEAR._replace(**against)
    assert bar.sure < NOT_SURE
    assert words in bar.doubt


@pytest.mark.parametrize("seed", range(3))
def test_no_evidence_against_a_bar_makes_it_surer(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for _ in range(200):
        bar = CLEAR._replace(strength=rng.uniform(0, 1), first=rng.uniform(-0.2, 1), margin=rng.normal(0.1, 0.2))
        worse = {
            "strength": bar.strength * 0.5,
            "first": bar.first - 0.2,
            "margin": bar.margin - 0.1,
            "beat": bar.beat + 0.3,
            "elsewhere": bar.elsewhere - 0.5,
            "firm": bar.firm - 0.03,
        }
        for name, figure in worse.items():
            assert bar._replace(**{name: figure}).sure <= bar.sure, name


def test_a_bar_squeezed_in_between_was_not_played_unless_it_is_heard() -> None:
    tempi = np.array([1.0, 1.1, 0.9, 2.5, 2.1, 2.6, 1.0, 1.05, 0.95])
    contrasts = np.array([0.7, 0.6, 0.7, 0.1, 0.1, 0.6, 0.7, 0.6, 0.7])
    assert np.flatnonzero(too_fast(tempi, contrasts)).tolist() == [3]

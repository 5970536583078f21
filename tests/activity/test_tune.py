"""Who carries the tune, against music whose tune is known.

Common knowledge of the repertory, no published count: a chorale's melody is its soprano; the quartet below
opens with eight bars of the cello's tune, which the first violin takes at bar 9.
"""

from pathlib import Path

import pytest

from score.activity.tune import tune_carriers
from score.activity.who_moves import activity
from score.reading import read_score

CHORALES = ("bwv2.6", "bwv20.7", "bwv24.6", "bwv226.2", "bwv229.2", "bwv244.3", "bwv244.15", "bwv244.32")


@pytest.fixture(scope="module")
def corpus() -> Path:
    import music21

    return Path(music21.__file__).parent / "corpus"


def carriers(path: Path) -> tuple[int | None, ...]:
    return tune_carriers(activity(read_score(path).piece))


def test_most_bars_of_chorales_have_the_tune_in_the_soprano(corpus: Path) -> None:
    found = [row for name in CHORALES for row in carriers(corpus / "bach" / f"{name}.mxl")]
    assert len(found) > 100
    assert found.count(0) >= 0.75 * len(found)


def test_a_tune_in_the_bass_goes_to_the_top(corpus: Path) -> None:
    found = carriers(corpus / "beethoven" / "opus59no1" / "movement1.mxl")
    assert found[:16] == (3,) * 8 + (0,) * 8

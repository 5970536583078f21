"""Onsets inside the bar, lengths and sounding pitches against partitura's own reader, over real quartets.

A selection here, every quartet of music21's corpus in tests/bench/bench_reading.py. Each disagreement must
have a reason that stands in the document itself.
"""

import importlib.util
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from score.reading import read_score

# partitura's parser library warns of the standard library's own renamings.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::UserWarning")

SELECTION = (
    "mozart/k80/movement3.mxl",
    "mozart/k155/movement2.mxl",
    "mozart/k156/movement4.mxl",
    "haydn/opus1no1/movement4.mxl",
    "haydn/opus74no1/movement3.mxl",
    "beethoven/opus18no1/movement3.mxl",
)


@pytest.fixture(scope="module")
def compare() -> ModuleType:
    spec = importlib.util.spec_from_file_location("disagreements", Path(__file__).with_name("disagreements.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", SELECTION)
def test_every_disagreement_has_a_reason(corpus: Path, compare: ModuleType, name: str) -> None:
    path = corpus / name
    ours, theirs = compare.of_piece(read_score(path).piece), compare.of_partitura(path)
    root = compare.document(path)
    assert len(ours) == len(theirs)
    found: Counter[str] = Counter()
    for part, (here, there) in enumerate(zip(ours, theirs, strict=True)):
        assert sum((here & there).values()) > 0.75 * sum(there.values())
        found += compare.reasons(root, part, (here - there).elements(), (there - here).elements())
    assert "" not in found
    assert set(found) <= {compare.HIDDEN, compare.CLOSING_GRACE}

"""A score seen before against reading it, each in a fresh process: pytest tests/bench/bench_store.py -s."""

import statistics
import subprocess
import sys
from pathlib import Path

import music21
import pytest

SAMPLES = Path(__file__).parents[2] / "samples"
LONG = Path(music21.__file__).parent / "corpus" / "beethoven" / "opus132.mxl"
KEEP = """
import sys; from pathlib import Path
from score.reading import read_score
from score.reading.reading_store import ReadingStore, raw_digest
path = Path(sys.argv[1]); ReadingStore(Path(sys.argv[2])).keep(read_score(path), raw_digest(path))
"""
READ = """
import sys, time; from pathlib import Path
start = time.process_time()
from score.reading import read_score
reading = read_score(Path(sys.argv[1])); print(time.process_time() - start, len(reading.piece.bars))
"""
FIND = """
import sys, time; from pathlib import Path
start = time.process_time()
from score.reading.reading_store import ReadingStore
reading = ReadingStore(Path(sys.argv[2])).find(Path(sys.argv[1]))
print(time.process_time() - start, len(reading.piece.bars))
"""


def _seconds(code: str, path: Path, folder: Path) -> tuple[float, int]:
    ask = [sys.executable, "-c", code, str(path), str(folder)]
    seconds, bars = subprocess.run(ask, capture_output=True, text=True, check=True).stdout.split()
    return float(seconds), int(bars)


@pytest.mark.parametrize(("path", "most"), [(SAMPLES / "quartet.musicxml", 0.1), (LONG, 0.03)], ids=str)
def test_a_score_seen_before_opens_at_once(tmp_path: Path, path: Path, most: float) -> None:
    subprocess.run([sys.executable, "-c", KEEP, str(path), str(tmp_path)], check=True)
    ratios = []
    for _ in range(5):
        read, bars = _seconds(READ, path, tmp_path)
        found, _ = _seconds(FIND, path, tmp_path)
        ratios.append(found / read)
    print(
        f"{path.name}, {bars} bars: {statistics.median(ratios):.3f} of reading ({min(ratios):.3f} to {max(ratios):.3f})"
    )
    assert statistics.median(ratios) <= most

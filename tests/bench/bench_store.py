"""A score seen before against reading it, each in a fresh process: pytest tests/bench/bench_store.py -s.

What is loaded first (the language's own library for the most part) takes about 0.05 s of both and is printed beside it:
since a movement is read in a third of a second, it is most of what opening a kept one costs.
"""

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
loaded = time.process_time()
reading = read_score(Path(sys.argv[1])); print(loaded - start, time.process_time() - loaded, len(reading.piece.bars))
"""
FIND = """
import sys, time; from pathlib import Path
start = time.process_time()
import msgspec
from score.reading.reading_store import ReadingStore
loaded = time.process_time()
reading = ReadingStore(Path(sys.argv[2])).find(Path(sys.argv[1]))
print(loaded - start, time.process_time() - loaded, len(reading.piece.bars))
"""


def _seconds(code: str, path: Path, folder: Path) -> tuple[float, float, int]:
    """CPU seconds of loading and of the work itself, and the piece's bars."""
    ask = [sys.executable, "-c", code, str(path), str(folder)]
    loading, work, bars = subprocess.run(ask, capture_output=True, text=True, check=True).stdout.split()
    return float(loading), float(work), int(bars)


@pytest.mark.parametrize(("path", "most"), [(SAMPLES / "quartet.musicxml", 0.1), (LONG, 0.03)], ids=str)
def test_a_score_seen_before_opens_at_once(tmp_path: Path, path: Path, most: float) -> None:
    subprocess.run([sys.executable, "-c", KEEP, str(path), str(tmp_path)], check=True)
    ratios, whole = [], []
    for _ in range(5):
        loading, read, bars = _seconds(READ, path, tmp_path)
        store_loading, opened, _ = _seconds(FIND, path, tmp_path)
        ratios.append(opened / read)
        whole.append((store_loading + opened) / (loading + read))
    ratio, with_loading = map(statistics.median, (ratios, whole))
    print(f"{path.name}, {bars} bars: {ratio:.3f} of reading ({min(ratios):.3f} to {max(ratios):.3f})")
    print(f"with what is loaded first {with_loading:.3f}: {store_loading:.3f} + {opened:.3f} s of CPU for {read:.2f} s")
    assert ratio <= most

"""Whole commands against the libraries they stand on, in turn in one run, as ratios.

Run by hand: python -m pytest tests/bench/bench_speed.py -s
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

import music21
import pytest

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLES = Path(__file__).parents[2] / "samples"
ROUNDS = 5

# music21 parsing the score once, then verovio engraving the same pages once, as one plain program.
LIBRARIES = """
import sys, music21, verovio
music21.converter.parse(sys.argv[1], forceSource=True)
verovio.enableLog(verovio.LOG_OFF)
for path in sys.argv[2:]:
    toolkit = verovio.toolkit()
    toolkit.setOptions({"pageWidth": 2100, "pageHeight": 2970, "scale": 45, "breaks": "auto"})
    toolkit.loadData(open(path, encoding="utf-8").read())
    for page in range(toolkit.getPageCount()):
        toolkit.renderToSVG(page + 1)
"""


def _seconds(*command: str) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def _ratio(ours: tuple[str, ...], theirs: tuple[str, ...]) -> float:
    """Median over rounds of ours/theirs, each pair run one after the other."""
    _seconds(*ours), _seconds(*theirs)
    pairs = [(_seconds(*ours), _seconds(*theirs)) for _ in range(ROUNDS)]
    for a, b in pairs:
        print(f"  {a:.2f} s / {b:.2f} s = {a / b:.2f}")
    return statistics.median(a / b for a, b in pairs)


def test_help_takes_a_quarter_of_importing_music21() -> None:
    ratio = _ratio((sys.executable, "-m", "tui", "--help"), (sys.executable, "-c", "import music21"))
    print(f"help / import music21: {ratio:.3f}")
    assert ratio < 0.25


# Where the libraries take half a second, the start of processes weighs more than the music.
SCORES = {
    "sample": SAMPLES / "quartet.musicxml",
    "short movement": CORPUS / "mozart" / "k155" / "movement2.mxl",
    "movement": CORPUS / "haydn" / "opus74no1" / "movement3.mxl",
    "long movement": CORPUS / "beethoven" / "opus18no1" / "movement1.mxl",
}


@pytest.mark.parametrize("name", SCORES)
def test_four_parts_take_no_longer_than_the_libraries_once(name: str, tmp_path: Path) -> None:
    score = str(SCORES[name])
    ours = (sys.executable, "-m", "tui", "parts", score, "--out", str(tmp_path))
    _seconds(*ours)
    parts = sorted(str(path) for path in tmp_path.glob("*.musicxml"))
    assert len(parts) == 4
    ratio = _ratio(ours, (sys.executable, "-c", LIBRARIES, score, *parts))
    print(f"{name}: four parts with PDFs / (music21 parse + verovio engraving): {ratio:.2f}")
    assert ratio <= 1.3

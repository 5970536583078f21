"""Whole commands against the libraries they stand on, in turn in one run, as ratios.

Run by hand: python -m pytest tests/bench/bench_speed.py -s
"""

import os
import re
import statistics
import subprocess
import sys
import time
from copy import deepcopy
from pathlib import Path

import music21
import pytest
from lxml import etree

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLES = Path(__file__).parents[2] / "samples"
ROUNDS = 9

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


@pytest.fixture(autouse=True)
def nothing_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every run reads the score: a kept reading would be compared with parsing it."""
    monkeypatch.setenv("INBREATH_READINGS", os.devnull)


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
    ours = (sys.executable, "-m", "tui", "parts", score, "--out", str(tmp_path), "--divide-anew")
    _seconds(*ours)
    parts = sorted(str(path) for path in tmp_path.glob("*.musicxml"))
    assert len(parts) == 4
    ratio = _ratio(ours, (sys.executable, "-c", LIBRARIES, score, *parts))
    print(f"{name}: four parts with PDFs / (music21 parse + verovio engraving): {ratio:.2f}")
    assert ratio <= 1.05


_SHARE = re.compile(r"^Pss:\s+(\d+) kB", re.MULTILINE)


@pytest.mark.skipif(not Path("/proc/self/smaps_rollup").exists(), reason="asks the kernel what processes share")
def test_three_thousand_bars_stay_under_one_and_a_half_gigabytes(tmp_path: Path) -> None:
    """A quartet movement again and again; what processes share counts once (proportional set size)."""
    score = music21.converter.parse(CORPUS / "haydn" / "opus74no1" / "movement3.mxl")
    root = etree.fromstring(music21.musicxml.m21ToXml.GeneralObjectExporter(score).parse())
    for part in root.iter("part"):
        once = part.findall("measure")
        for number in range(len(once), 3000):
            measure = deepcopy(once[number % len(once)])
            measure.set("number", str(number + 1))
            part.append(measure)
    path = tmp_path / "long.musicxml"
    path.write_bytes(etree.tostring(root))
    command = [sys.executable, "-m", "tui", "parts", str(path), "--out", str(tmp_path / "out")]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
    most = 0
    while process.poll() is None:
        most = max(most, _used_by_session(process.pid))
        time.sleep(0.1)
    assert process.returncode == 0
    print(f"3,000 bars, four parts: {most / 1e6:.2f} GB at most")
    assert 0.05e6 < most < 1.5e6


def _used_by_session(session: int) -> int:
    """Memory of every process of a session, kB."""
    used = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            if int(stat.read_text().rsplit(")", 1)[1].split()[3]) == session:
                share = _SHARE.search((stat.parent / "smaps_rollup").read_text())
                used += int(share[1]) if share else 0
        except OSError:
            continue
    return used

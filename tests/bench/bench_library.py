"""The library: two processes against one over the same scores, filters and programmes over a thousand entries.

    pytest tests/bench/bench_library.py -s
    INBREATH_SCORES=100 pytest tests/bench/bench_library.py -s -k spread     # the full figure

Seconds depend on what else the machine does; the ratio stands within one run.
"""

import os
import time
from pathlib import Path

import music21

from score.library.joblib_engine import JoblibEngine
from score.library.library_filters import filtered, filters
from score.library.library_index import LibraryIndex
from score.library.library_reading import entries
from score.library.score_files import score_files
from score.library.score_work import ScoreLine, ScoreWork, WorkLimits, read_work
from score.library.shelf_casting import Person
from score.library.shelf_choice import choose_pieces
from score.library.shelf_model import ChoiceWish
from score.library.spreading import spread
from tests.library.shelves import KINDS, shelf

CORPUS = Path(music21.__file__).parent / "corpus"
COMPOSERS = ("haydn", "mozart", "beethoven", "schumann_robert", "monteverdi")
"""Long scores first; short ones fill up to a hundred."""
WORDS = "quartet, marimba, no chimes, under 10 minutes, easy alone"


def real_scores(count: int) -> list[ScoreWork]:
    paths = [path for who in COMPOSERS for path in sorted((CORPUS / who).rglob("*.mxl"))]
    return [ScoreWork(f"{path.parent.name}-{path.name}", path.read_bytes()) for path in paths[:count]]


def _spent() -> float:
    """CPU seconds of this process and of those of its children that have ended."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def test_two_processes_read_scores_nearly_twice_as_fast_as_one() -> None:
    works = real_scores(int(os.environ.get("INBREATH_SCORES", "20")))
    read_work(works[0])  # what is loaded once is loaded
    began, cpu = time.perf_counter(), time.process_time()
    alone = {work.path: read_work(work) for work in works}
    one, cpu = time.perf_counter() - began, time.process_time() - cpu
    spent = _spent()
    engine = JoblibEngine(2)
    began = time.perf_counter()
    both = {line.path: line for line in spread(works, engine, read_work)}
    two = time.perf_counter() - began
    engine.close()
    assert both == alone
    spent = _spent() - spent
    print(f"\n{len(works)} scores: one process {one:.1f} s, two {two:.1f} s with their start, {one / two:.2f} x")
    best = 2 * cpu / spent
    print(f"CPU: one process {cpu:.1f} s, two {spent:.1f} s together: {best:.2f} x if undisturbed")


def test_filters_and_programmes_over_a_thousand_scores(tmp_path: Path) -> None:
    everything = shelf(1000, seed=7)
    folder, path = tmp_path / "shelf", tmp_path / "library.sqlite"
    folder.mkdir()
    for entry in everything:
        (folder / entry.path).touch()
    files = score_files(folder)
    index = LibraryIndex(path)
    for file, entry in zip(files, everything, strict=True):
        index.keep(file, entry.path, ScoreLine(entry.path, entry.facts), WorkLimits())
    index.close()
    began, cpu = time.perf_counter(), time.process_time()
    index = LibraryIndex(path)
    shown = filtered(entries(index.current(score_files(folder), WorkLimits())), filters(WORDS))
    spent, passed = time.process_time() - cpu, time.perf_counter() - began
    print(f"\n{WORDS}: {len(shown)} of 1000, {spent:.3f} s of CPU, {passed:.3f} s")
    people = tuple(Person(name, frozenset(KINDS[: 20 + 4 * number])) for number, name in enumerate("ABCDE"))
    for fewest in (False, True):
        began, cpu = time.perf_counter(), time.process_time()
        chosen = choose_pieces(everything, ChoiceWish(1200, people, fewest=fewest), 10)
        said = f"{sum(chosen.instruments.values())} instruments" if fewest else f"{chosen.seconds:.0f} s"
        print(
            f"{'fewest' if fewest else 'fullest'}: {said}, bound {chosen.bound}, {chosen.candidates} candidates, "
            f"{time.process_time() - cpu:.2f} s of CPU, {time.perf_counter() - began:.2f} s"
        )

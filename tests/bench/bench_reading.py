"""Reading at length: every quartet beside partitura, every file of music21's, and seconds per bars and notes.

Run: pytest tests/bench/bench_reading.py -s
"""

import importlib.util
import time
from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from xml.parsers import expat

import music21
import pytest

from score.errors import InbreathError
from score.reading import read_score
from score.reading.reading_result import Reading
from tests.bench.cpu_time import cpu_seconds

MUSIC21 = Path(music21.__file__).parent
CORPUS = MUSIC21 / "corpus"
QUARTETS = sorted(path for name in ("beethoven", "haydn", "mozart") for path in (CORPUS / name).rglob("*.mxl"))
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::UserWarning")


@pytest.fixture(scope="module")
def compare() -> ModuleType:
    place = Path(__file__).parents[1] / "reading" / "disagreements.py"
    spec = importlib.util.spec_from_file_location("disagreements", place)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _compared(compare: ModuleType, paths: list[Path]) -> Iterator[tuple[Path, int, Counter[str]]]:
    for path in paths:
        try:
            theirs = compare.of_partitura(path)
        except Exception as error:
            print(f"partitura cannot read {path.relative_to(MUSIC21)}: {error!r:.80}")
            continue
        try:
            ours = compare.of_piece(read_score(path).piece)
        except InbreathError as error:
            print(error.line)
            continue
        root, found = compare.document(path), Counter[str]()
        for part, (here, there) in enumerate(zip(ours, theirs, strict=True)):
            found.update(compare.reasons(root, part, (here - there).elements(), (there - here).elements()))
        yield path, sum(sum(here.values()) for here in ours), found


def test_quartets_agree_with_partitura(compare: ModuleType) -> None:
    total, notes = Counter[str](), 0
    for path, count, found in _compared(compare, QUARTETS):
        assert "" not in found, path
        total += found
        notes += count
    print(f"{len(QUARTETS)} movements, {notes} notes; disagreements by reason:")
    for reason, count in total.most_common():
        print(f"  {count}: {reason}")
    assert set(total) <= {compare.HIDDEN, compare.CLOSING_GRACE}


def _corpus() -> list[Path]:
    kinds = (".mxl", ".xml", ".musicxml")
    return sorted(path for path in CORPUS.rglob("*") if path.suffix in kinds and path not in QUARTETS)


def test_the_rest_of_the_corpus_agrees_with_partitura(compare: ModuleType) -> None:
    total, notes, files, unexplained = Counter[str](), 0, 0, Counter[str]()
    for path, count, found in _compared(compare, _corpus()):
        unexplained[str(path.relative_to(CORPUS))] += found.pop("", 0)
        total += found
        notes, files = notes + count, files + 1
    print(f"{files} files, {notes} notes; disagreements by reason:")
    for reason, count in total.most_common():
        print(f"  {count}: {reason}")
    print("without a reason:", +unexplained)
    assert not +unexplained


def test_every_file_of_music21_is_read_or_refused() -> None:
    outcomes: Counter[str] = Counter()
    started = time.perf_counter()
    for path in [*QUARTETS, *_corpus(), *sorted((MUSIC21 / "musicxml").rglob("*.xml"))]:
        try:
            piece = read_score(path).piece
            outcomes["read"] += 1
            outcomes["notes"] += sum(len(player.strokes) for player in piece.players)
            outcomes["with warnings"] += bool(piece.warnings)
        except InbreathError as error:
            outcomes["refused" if "no notes to play" in error.line else error.line] += 1
    print(dict(outcomes), f"{time.perf_counter() - started:.0f} s")
    assert set(outcomes) <= {"read", "refused", "notes", "with warnings"}
    assert outcomes["read"] > 750


def test_time_grows_with_the_bars(tmp_path: Path) -> None:
    """Four parts of eighths: twice the bars take about twice as long, up to eight times as many."""
    shortest = _seconds_a_bar(tmp_path, 500)
    for bars in (1000, 2000, 4000):
        assert _seconds_a_bar(tmp_path, bars) < 1.6 * shortest


def _seconds_a_bar(folder: Path, bars: int) -> float:
    eighth = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><type>eighth</type></note>"
    first = "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
    measures = "".join(
        f'<measure number="{n}">{first if n == 1 else ""}{eighth * 8}</measure>' for n in range(1, bars + 1)
    )
    listed = "".join(f'<score-part id="P{n}"><part-name>Marimba {n}</part-name></score-part>' for n in range(4))
    parts = "".join(f'<part id="P{n}">{measures}</part>' for n in range(4))
    path = folder / f"{bars}.musicxml"
    path.write_text(f"<score-partwise><part-list>{listed}</part-list>{parts}</score-partwise>")
    readings: list[Reading] = []
    seconds = cpu_seconds(lambda: readings.append(read_score(path)))
    assert len(readings[0].piece.bars) == bars
    print(f"{bars} bars, {32 * bars} notes: {seconds:.2f} s of CPU, {seconds / bars * 1000:.2f} ms a bar")
    return seconds / bars


def test_bombs_are_refused_as_fast_as_their_tags_are_counted() -> None:
    """Seconds to refuse, beside expat going once over as many bytes of ordinary tags, in one run."""
    place = Path(__file__).parents[1] / "reading" / "test_opening.py"
    spec = importlib.util.spec_from_file_location("opening", place)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    yardstick = b"<score-partwise>" + b"<words>la la</words>" * 2_500_000 + b"</score-partwise>"
    plain = cpu_seconds(lambda: expat.ParserCreate().Parse(yardstick, True))
    with TemporaryDirectory() as folder:
        for name, bomb in module.BOMBS.items():
            path = Path(folder) / "bomb.mxl"
            path.write_bytes(bomb())
            ratio = cpu_seconds(partial(_refused, path)) / plain
            print(f"{name}: {ratio:.2f} x 50 MB of tags through expat")
            assert ratio < 4


def _refused(path: Path) -> None:
    with pytest.raises(InbreathError):
        read_score(path)

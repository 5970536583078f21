"""How many rehearsal marks and double bars come back as the beginnings of chunks once they are taken out.

Run by hand: python -m pytest tests/bench/bench_chunks.py -s
"""

import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import music21

from score.chunks.chunk import ChunkOptions
from score.chunks.division import divide
from score.piece import Piece
from score.reading import read_score

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLES = Path(__file__).parents[2] / "samples"
SECTION_ENDS = {"light-light", "light-heavy", "heavy-light", "heavy-heavy", "heavy"}
ROUNDS = 20


def marked(piece: Piece) -> set[int]:
    """Bars at which the score itself says that something begins; not its first bar."""
    marks = {bar.index for bar in piece.bars if bar.rehearsal_mark}
    marks |= {bar.index + 1 for bar in piece.bars[:-1] if bar.barline in SECTION_ENDS}
    return marks - {0}


def stripped(piece: Piece) -> Piece:
    bars = tuple(
        replace(bar, rehearsal_mark="", barline="regular", repeat_start=False, repeat_times=0, signs=())
        for bar in piece.bars
    )
    return replace(piece, bars=bars)


@cache
def pieces() -> tuple[tuple[str, Piece], ...]:
    found = []
    folders = ["haydn", "mozart", "beethoven", "schumann", "schumann_clara", "corelli", "handel", "joplin", "weber"]
    paths = [SAMPLES / "quartet.musicxml", SAMPLES / "trio-ids.musicxml"]
    paths += sorted(path for name in folders for path in (CORPUS / name).rglob("*.mxl"))
    paths += sorted(path for name in folders for path in (CORPUS / name).rglob("*.xml"))
    for path in paths:
        try:
            piece = read_score(path).piece
        except Exception as error:
            print(f"  {path.name}: {error}")
            continue
        if len(piece.bars) >= 24 and len(marked(piece)) >= 2:
            found.append((f"{path.parent.name}/{path.stem}", piece))
    return tuple(found)


def score_of(truth: set[int], begins: Sequence[int]) -> tuple[int, int, int]:
    """(marks found within a bar, beginnings within a bar of a mark, beginnings)."""
    inner = [begin for begin in begins if begin]
    hit = sum(any(abs(mark - begin) <= 1 for begin in inner) for mark in truth)
    right = sum(any(abs(mark - begin) <= 1 for mark in truth) for begin in inner)
    return hit, right, len(inner)


def measures(rows: Iterator[tuple[set[int], Sequence[int]]]) -> tuple[float, float, float]:
    marks = hits = rights = begins = 0
    for truth, found in rows:
        hit, right, count = score_of(truth, found)
        marks, hits, rights, begins = marks + len(truth), hits + hit, rights + right, begins + count
    precision, recall = rights / max(1, begins), hits / max(1, marks)
    return precision, recall, 2 * precision * recall / max(1e-9, precision + recall)


def test_marks_come_back_better_than_by_eights_or_chance() -> None:
    chance = random.Random(1)
    ours, eights, random_cuts = [], [], []
    spent = 0.0
    for name, piece in pieces():
        truth = marked(piece)
        start = time.perf_counter()
        begins = [chunk.first for chunk in divide(stripped(piece), ChunkOptions(15, 45))]
        spent += time.perf_counter() - start
        ours.append((truth, begins))
        eights.append((truth, range(0, len(piece.bars), 8)))
        for _ in range(ROUNDS):
            random_cuts.append((truth, chance.sample(range(1, len(piece.bars)), len(begins) - 1)))
        print(f"  {name}: {len(truth)} marks, {len(begins) - 1} beginnings, {score_of(truth, begins)[0]} found")
    figures = {}
    for name, rows in (("ours", ours), ("every eight bars", eights), ("random, as many", random_cuts)):
        figures[name] = measures(iter(rows))
        print("{}: precision {:.2f}, recall {:.2f}, F {:.2f}".format(name, *figures[name]))
    print(f"{len(ours)} scores, {1000 * spent / len(ours):.0f} ms a score")
    assert figures["ours"][2] > 1.25 * max(figures["every eight bars"][2], figures["random, as many"][2])

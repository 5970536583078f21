"""Findings of each kind over string-quartet movements taken for marimbas: nothing crashes, figures to look at.

Run by hand: python -m pytest tests/bench/bench_setup.py -s
"""

import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

import music21

from score.group.group_file import Group
from score.reading import read_score
from score.setup.setup_check import check
from score.setup.setup_texts import setup_text


def test_twenty_movements_on_marimbas() -> None:
    folder = Path(music21.__file__).parent / "corpus"
    paths = sorted(p for name in ("haydn", "mozart", "beethoven") for p in (folder / name).rglob("movement*.mxl"))[:20]
    kinds: Counter[str] = Counter()
    seconds = 0.0
    for path in paths:
        piece = read_score(path).piece
        players = tuple(
            p._replace(
                instruments=tuple(i._replace(key="marimba", name="Marimba", pitched=True) for i in p.instruments)
            )
            for p in piece.players
        )
        marimbas = replace(piece, players=players)
        start = time.perf_counter()
        report = check(marimbas, Group())
        seconds += time.perf_counter() - start
        assert setup_text(marimbas, report)
        kinds.update(f"{found.weight.value}: {found.kind.value}" for found in report.findings)
    for kind, count in kinds.most_common():
        print(f"  {count:4} {kind}")
    print(f"  {len(paths)} movements, {seconds / len(paths):.2f} s a movement")
    assert len(paths) == 20

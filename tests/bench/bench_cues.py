"""Figures of the cue choice over string-quartet movements of music21's corpus and the samples.

Counted here from the strokes alone, without the engine's own facts:

- entries: bars with a stroke after two or more without one, where another player strikes in those; the
  share with a cue in them (`sparse` and `usual`; all of them);
- covered: bars in which a player strikes nothing while another does; the share cued with a source that
  strikes there (`usual`; at least 90 %);
- kept: cues whose source strikes again in the bar after the cue's first; the share of two bars or more
  (`usual`; at least 80 %);
- busy: bars in which a player strikes, never pausing for three quarters of a bar, that are cued all the
  same: how far the choice over-cues. Not a figure to reach, but it may not pass a quarter.

Run by hand: python -m pytest tests/bench/bench_cues.py -s
"""

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from score.cues.cue_choice import choose_cues
from score.cues.sheet import CueSheet, Level
from score.piece import Bar, Piece, Player, Segment
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
MOVEMENTS = [
    *(f"haydn/opus1no1/movement{n}.mxl" for n in range(1, 6)),
    *(f"haydn/opus74no1/movement{n}.mxl" for n in range(1, 5)),
    *(f"mozart/k80/movement{n}.mxl" for n in range(1, 5)),
    *(f"mozart/k155/movement{n}.mxl" for n in range(1, 4)),
    *(f"mozart/k156/movement{n}.mxl" for n in range(1, 5)),
    *(f"mozart/k458/movement{n}.mxl" for n in range(1, 5)),
    *(f"beethoven/opus18no1/movement{n}.mxl" for n in range(1, 5)),
    *(f"beethoven/opus59no1/movement{n}.mxl" for n in range(1, 5)),
]


def paths() -> Iterator[Path]:
    import music21

    corpus = Path(music21.__file__).parent / "corpus"
    yield from (corpus / name for name in MOVEMENTS)
    yield from sorted(SAMPLES.glob("*.musicxml"))


def empty_runs(own: set[int], bars: int) -> Iterator[range]:
    """Two bars or more without a stroke, before one with."""
    start = 0
    for bar in range(bars):
        if bar in own:
            if bar - start >= 2:
                yield range(start, bar)
            start = bar + 1


def pauses(player: Player, bars: tuple[Bar, ...]) -> set[int]:
    """Bars in which the player strikes nothing for three quarters of the bar."""
    places: dict[int, set[Fraction]] = {}
    for stroke in player.strokes:
        places.setdefault(stroke.bar, set()).add(stroke.at)
    edges = ((bar, sorted({Fraction(0), bar.length, *places.get(bar.index, ())})) for bar in bars)
    return {bar.index for bar, at in edges if max(b - a for a, b in pairwise(at)) * 4 >= 3 * bar.length}


def counted(piece: Piece, sheet: CueSheet) -> Counter[str]:
    strikes = {player.number: {stroke.bar for stroke in player.strokes} for player in piece.players}
    own = strikes.pop(sheet.player)
    moved = set().union(*strikes.values())
    source = {bar: cue.source for cue in sheet.cues for bar in cue.bars}
    runs = [run for run in empty_runs(own, len(piece.bars)) if moved & set(run)]
    idle = moved - own
    going = [cue for cue in sheet.cues if cue.first + 1 in strikes[cue.source]]
    busy = own - pauses(piece.player(sheet.player), piece.bars)
    return Counter(
        entries=len(runs),
        led=sum(bool(source.keys() & set(run)) for run in runs),
        led_near=sum(run[-1] in source for run in runs if run[-1] in moved),
        near=sum(run[-1] in moved for run in runs),
        idle=len(idle),
        covered=sum(bar in source and bar in strikes[source[bar]] for bar in idle),
        going=len(going),
        kept=sum(cue.last > cue.first for cue in going),
        busy=len(busy),
        busy_cued=len(busy & source.keys()),
        bars=len(piece.bars),
        cued=len(source),
        cues=len(sheet.cues),
    )


def share(part: int, whole: int) -> str:
    return f"{part}/{whole}".rjust(11) + (f" {100 * part / whole:5.1f} %" if whole else "      - ")


USUAL = {"entries": "led", "idle": "covered", "going": "kept", "busy": "busy_cued", "bars": "cued"}
SPARSE = {"entries": "led", "bars": "cued"}


def line(name: str, usual: Counter[str], sparse: Counter[str]) -> str:
    said = [share(usual[part], usual[whole]) for whole, part in USUAL.items()]
    said += [share(sparse[part], sparse[whole]) for whole, part in SPARSE.items()]
    return f"{name:36}{''.join(said)}"


def heading() -> str:
    named = (*USUAL.values(), *(f"sparse: {part}" for part in SPARSE.values()))
    return f"{'':36}{''.join(f'{part:>19}' for part in named)}"


@pytest.fixture(scope="module")
def pieces() -> dict[str, Piece]:
    return {"/".join(path.parts[-3:]): read_score(path).piece for path in paths()}


def test_figures(pieces: dict[str, Piece]) -> None:
    print(f"\n{heading()}")
    total: dict[Level, Counter[str]] = {Level.USUAL: Counter(), Level.SPARSE: Counter()}
    for name, piece in pieces.items():
        found = {level: Counter[str]() for level in total}
        for player in piece.players:
            for level, figures in found.items():
                figures += counted(piece, choose_cues(piece, player.number, level))
        for level, figures in found.items():
            total[level] += figures
        print(line(name, found[Level.USUAL], found[Level.SPARSE]))
    print(line(f"all {len(pieces)}", total[Level.USUAL], total[Level.SPARSE]))
    assert_figures(total[Level.USUAL], total[Level.SPARSE])


def assert_figures(usual: Counter[str], sparse: Counter[str]) -> None:
    for found in (usual, sparse):
        assert found["entries"] > 100
        assert found["led"] == found["entries"]
        assert found["led_near"] == found["near"]
    assert usual["covered"] >= 0.9 * usual["idle"]
    assert usual["kept"] >= 0.8 * usual["going"]
    assert usual["busy_cued"] <= 0.25 * usual["busy"]
    assert sparse["cued"] < usual["cued"] / 2


def repeated(piece: Piece, times: int) -> Piece:
    """The piece's bars so many times over."""
    count, length = len(piece.bars), piece.length
    bars = tuple(
        replace(bar, index=n * count + bar.index, start=n * length + bar.start)
        for n in range(times)
        for bar in piece.bars
    )
    players = []
    for player in piece.players:
        strokes = tuple(
            stroke._replace(
                bar=n * count + stroke.bar,
                segments=tuple(Segment(n * count + s.bar, s.at, s.length) for s in stroke.segments),
            )
            for n in range(times)
            for stroke in player.strokes
        )
        players.append(player._replace(strokes=strokes, marks=(), rests=(), dynamics=(), spans=()))
    return replace(piece, bars=bars, players=tuple(players), playing_order=tuple(range(len(bars))), tempo_changes=())


def test_time_is_linear_in_bars(pieces: dict[str, Piece]) -> None:
    """150 bars and 33 times as many: time for each bar may grow by half at most (of the best of three)."""
    piece = pieces["haydn/opus74no1/movement1.mxl"]
    long = repeated(piece, 5000 // len(piece.bars) + 1)
    assert len(long.bars) >= 5000
    took = {}
    for some in (piece, long):
        rounds = []
        for _ in range(3):
            start = time.perf_counter()
            for player in replace(some).players:
                choose_cues(some, player.number)
            rounds.append(time.perf_counter() - start)
        took[len(some.bars)] = min(rounds)
    for bars, seconds in took.items():
        print(f"{bars} bars, four players: {seconds:.3f} s, {1e6 * seconds / bars:.0f} us a bar")
    (few, short), (many, slow) = took.items()
    assert short / 4 < 0.1
    assert slow / many < 1.5 * short / few

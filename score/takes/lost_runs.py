"""Where a pass was lost: strokes running that were missed or played as others, and not the one that may slip.

A single stroke that is missing tells of a hand, or of an ear that did not hear it; a place is lost where two running
are gone, or all there are of a bar (a rule of thumb, no source).
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from score.beats import Place
from score.piece import Piece
from score.places import bar_name, bars_name, bars_words
from score.takes.judged_pass import JudgedPass, JudgedStroke, StrokeState
from score.time.beat_places import beat_number

_RUNNING = 2
_LOST = (StrokeState.MISSED, StrokeState.WRONG)
_UNTOLD = (StrokeState.EXTRA, StrokeState.UNSURE)


class LostRun(NamedTuple):
    """A place that was lost.

    Attributes:
        bars: indices of its bars.
        at: where in the first one it begins, quarters.
        strokes: how many strokes were lost.
        is_whole: nothing of these bars was played as written.
    """

    bars: range
    at: Fraction
    strokes: int
    is_whole: bool


def told_strokes(judged: JudgedPass) -> tuple[JudgedStroke, ...]:
    """The written strokes of which it can be told what became of them; none where nothing is said of the pass."""
    return tuple(stroke for stroke in judged.strokes if stroke.state not in _UNTOLD) if judged.judged else ()


def lost_runs(judged: JudgedPass) -> tuple[LostRun, ...]:
    """The places a pass lost, in the order they were played."""
    told = told_strokes(judged)
    written = Counter((stroke.bar, stroke.turn) for stroke in told)
    gone = Counter((stroke.bar, stroke.turn) for stroke in told if stroke.state in _LOST)
    runs = []
    for run in _running(told):
        bars = {(stroke.bar, stroke.turn) for stroke in run}
        whole = [bar for bar in bars if gone[bar] == written[bar]]
        if len(run) >= _RUNNING or whole:
            span = range(run[0].bar, run[-1].bar + 1)
            runs.append(LostRun(span, run[0].at, len(run), is_whole=len(whole) == len(bars)))
    return tuple(runs)


def _running(told: Sequence[JudgedStroke]) -> Iterator[list[JudgedStroke]]:
    """Lost strokes one after the other; a bar without any, or a jump, ends what runs."""
    for is_lost, group in groupby(told, key=lambda stroke: stroke.state in _LOST):
        run: list[JudgedStroke] = []
        for stroke in group if is_lost else ():
            if run and (stroke.bar - run[-1].bar not in (0, 1) or stroke.turn != run[-1].turn):
                yield run
                run = []
            run.append(stroke)
        if run:
            yield run


def lost_names(piece: Piece, runs: Sequence[LostRun]) -> str:
    """The bars of lost places, each once: "17-18, 22"."""
    return ", ".join(dict.fromkeys(bars_name(piece, run.bars) for run in runs))


def lost_words(piece: Piece, runs: Sequence[LostRun]) -> str:
    """The same with where they begin: "bar 17 from beat 3 to bar 18, 6 strokes; bar 22, all of it"."""
    return "; ".join(dict.fromkeys(_run_words(piece, run) for run in runs))


def _run_words(piece: Piece, run: LostRun) -> str:
    if run.is_whole:
        return f"{bars_words(piece, run.bars)}, all of {'it' if len(run.bars) == 1 else 'them'}"
    first, last = bar_name(piece, run.bars[0]), bar_name(piece, run.bars[-1])
    beat = f"bar {first} from beat {beat_number(piece, Place(run.bars[0], run.at)):.3g}"
    strokes = "1 stroke" if run.strokes == 1 else f"{run.strokes} strokes"
    return f"{beat}{'' if len(run.bars) == 1 else f' to bar {last}'}, {strokes}"


def lost_json(runs: Sequence[LostRun]) -> list[dict[str, object]]:
    """Lost places as values JSON can write: `bar` and `last_bar` (indices from 0), `at` (quarters), `strokes`."""
    return [{"bar": run.bars[0], "last_bar": run.bars[-1], "at": str(run.at), "strokes": run.strokes} for run in runs]

"""Where a player rushes or drags: figures of the written music against the rest of the pass, over one pass or several.

A figure is a run of equal steps inside a bar. Its strokes are compared with the mean of their own pass, so that a pass
that is late as a whole accuses no place. Of many places some stand out by chance: the intervals are therefore those of
all figures together (Bonferroni), and what is within them is left unsaid.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from statistics import NormalDist, fmean
from typing import NamedTuple

from score.piece import Piece
from score.strokes.timing_figures import Figure, mean_figure, widened
from score.takes.judged_pass import JudgedPass, JudgedStroke, StrokeState

LEAST_STROKES, LEAST_IN_A_PASS = 12, 2
HEARD_MS = 6.0
"""What can be heard at all between two strokes (Friberg & Sundberg, 1995: 6 ms in quick sequences)."""
_SURE = 0.95


class FigurePlace(NamedTuple):
    """A figure as it is written.

    Attributes:
        bar: index of the bar.
        at: where it begins, quarters from the beginning of the bar.
        step: quarters from stroke to stroke; 0 for a single one.
        after_rest: the player has rests before it.
    """

    bar: int
    at: Fraction
    step: Fraction
    after_rest: bool


class PlaceFinding(NamedTuple):
    """A figure that is earlier or later than the rest.

    Attributes:
        place: the figure.
        figure: how much later than the rest of its passes, milliseconds; negative is earlier.
        passes: in how many passes it leaned that way.
        of: in how many it was played.
    """

    place: FigurePlace
    figure: Figure
    passes: int
    of: int


class LostStrokes(NamedTuple):
    """How often strokes of a bar are missed.

    Attributes:
        bar: index of the bar.
        lost: strokes over all passes.
        written: of how many.
    """

    bar: int
    lost: int
    written: int


def place_findings(piece: Piece, player: int, passes: Sequence[JudgedPass]) -> tuple[PlaceFinding, ...]:
    """Figures that surely stand apart from the rest, the farthest first.

    Args:
        piece: the piece.
        player: number of the player.
        passes: judged passes of this player; those that are not judged are left out.
    """
    judged = [judgement for judgement in passes if judgement.judged]
    by_place: dict[FigurePlace, list[list[float]]] = defaultdict(list)
    for judgement in judged:
        for place, offsets in _of_pass(piece, player, judgement).items():
            by_place[place].append(offsets)
    eligible = {place: runs for place, runs in by_place.items() if sum(map(len, runs)) >= LEAST_STROKES}
    sure = NormalDist().inv_cdf(1 - (1 - _SURE) / 2 / max(1, len(eligible)))
    findings = [_finding(place, runs) for place, runs in eligible.items()]
    kept = [finding for finding in findings if _stands_out(finding.figure, sure)]
    return tuple(sorted(kept, key=lambda finding: -abs(finding.figure.mean)))


def lost_strokes(passes: Sequence[JudgedPass]) -> tuple[LostStrokes, ...]:
    """Bars in which strokes are missed, the most first."""
    lost: dict[int, int] = defaultdict(int)
    written: dict[int, int] = defaultdict(int)
    for judgement in passes:
        for stroke in judgement.strokes if judgement.judged else ():
            if stroke.state is not StrokeState.EXTRA:
                written[stroke.bar] += 1
                lost[stroke.bar] += stroke.state is StrokeState.MISSED
    bars = [LostStrokes(bar, lost[bar], written[bar]) for bar in written if lost[bar]]
    return tuple(sorted(bars, key=lambda strokes: (-strokes.lost, strokes.bar)))


def _of_pass(piece: Piece, player: int, judgement: JudgedPass) -> dict[FigurePlace, list[float]]:
    """Offsets of each figure against the pass's own mean."""
    strokes = [stroke for stroke in judgement.strokes if stroke.expected is not None]
    timed = [stroke.timed_ms for stroke in strokes if stroke.timed_ms is not None]
    mean = fmean(timed) if timed else 0.0
    offsets: dict[FigurePlace, list[float]] = defaultdict(list)
    for place, run in figures(piece, player, strokes):
        heard = [stroke.timed_ms - mean for stroke in run if stroke.timed_ms is not None]
        if len(heard) >= LEAST_IN_A_PASS:
            offsets[place] += heard
    return offsets


def figures(
    piece: Piece, player: int, strokes: Sequence[JudgedStroke]
) -> Iterator[tuple[FigurePlace, list[JudgedStroke]]]:
    """The expected strokes of a pass divided into figures."""
    ends = _ends(piece, player)
    run: list[JudgedStroke] = []
    step, rest = Fraction(0), False
    for before, stroke in pairwise((None, *strokes)):
        assert stroke is not None
        offset = piece.offset_of(stroke.bar, stroke.at)
        earlier = piece.offset_of(before.bar, before.at) if before is not None else None
        gap = offset - earlier if earlier is not None else Fraction(0)
        goes_on = run and stroke.bar == run[-1].bar and stroke.turn == run[-1].turn and (len(run) == 1 or gap == step)
        if run and not goes_on:
            yield FigurePlace(run[0].bar, run[0].at, step, after_rest=rest), run
            run, step = [], Fraction(0)
        if not run:
            rest = earlier is None or ends.get(earlier, earlier) < offset
        step = gap if run else step
        run.append(stroke)
    if run:
        yield FigurePlace(run[0].bar, run[0].at, step, after_rest=rest), run


def _ends(piece: Piece, player: int) -> dict[Fraction, Fraction]:
    """Where what begins at an offset ends as written."""
    ends: dict[Fraction, Fraction] = {}
    for stroke in piece.player(player).strokes:
        start = piece.offset(stroke.place)
        ends[start] = max(ends.get(start, start), start + stroke.length)
    return ends


def _finding(place: FigurePlace, runs: list[list[float]]) -> PlaceFinding:
    means = [fmean(run) for run in runs]
    figure = mean_figure([offset for run in runs for offset in run])
    if len(runs) >= 3:
        # Passes are apart from one another; strokes of one run are not.
        figure = max(figure, widened(means)._replace(strokes=figure.strokes), key=lambda value: value.half)
    leaning = sum((mean < 0) == (figure.mean < 0) for mean in means)
    return PlaceFinding(place, figure, leaning, of=len(runs))


def _stands_out(figure: Figure, sure: float) -> bool:
    return abs(figure.mean) > max(HEARD_MS, figure.half * sure / 1.96)

"""A judged pass in words, for a plain terminal."""

from collections import Counter
from collections.abc import Iterator

from score.beats import quarters_text
from score.piece import Piece
from score.places import bar_name
from score.takes.judged_pass import JudgedPass, JudgedStroke, StrokeState

_ORDER = (StrokeState.TOGETHER, StrokeState.EARLY, StrokeState.LATE, StrokeState.MISSED, StrokeState.WRONG)
_APART = (StrokeState.EXTRA, StrokeState.UNSURE)


def pass_words(piece: Piece, judgement: JudgedPass) -> Iterator[str]:
    """Lines: what became of the strokes, how they stand in time, what to look at."""
    yield from judgement.remarks
    if not judgement.judged:
        yield f"Not judged: {judgement.why}"
        return
    counts = Counter(stroke.state for stroke in judgement.strokes)
    written = len(judgement.strokes) - counts[StrokeState.EXTRA]
    said = [f"{counts[state]} {state}" for state in (*_ORDER, *_APART) if counts[state]]
    yield f"{written} strokes: {', '.join(said)}"
    yield from _timing(judgement)
    for state in (StrokeState.MISSED, StrokeState.WRONG, StrokeState.EXTRA):
        places = [_place(piece, stroke) for stroke in judgement.strokes if stroke.state is state]
        if places:
            yield f"{str(state).capitalize()}: {'; '.join(places[:12])}{' …' if len(places) > 12 else ''}"


def _timing(judgement: JudgedPass) -> Iterator[str]:
    if judgement.mean_ms is not None and judgement.mean_ms_interval is not None:
        half = judgement.mean_ms_interval[1] - judgement.mean_ms
        side = "early" if judgement.mean_ms < 0 else "late"
        yield f"On average {abs(judgement.mean_ms):.0f} ± {half:.0f} ms {side}"
    if judgement.spread_ms is not None:
        yield f"Spread {judgement.spread_ms:.0f} ms"


def _place(piece: Piece, stroke: JudgedStroke) -> str:
    return f"bar {bar_name(piece, stroke.bar)} at {quarters_text(stroke.at)}"

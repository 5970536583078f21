"""Judged passes in words: what the strokes say in a musician's terms, and nothing where they are too few."""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction

from score.beats import Place
from score.piece import Piece
from score.places import bar_name
from score.takes.hand_findings import hand_finding
from score.takes.judged_pass import DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.lost_runs import lost_runs, lost_words
from score.takes.partner_findings import partner_findings
from score.takes.place_findings import HEARD_MS, FigurePlace, PlaceFinding, lost_strokes, place_findings
from score.takes.tempo_findings import TempoFigure, tempo_finding
from score.time.beat_places import beat_number

_ORDER = (StrokeState.TOGETHER, StrokeState.EARLY, StrokeState.LATE, StrokeState.MISSED, StrokeState.WRONG)
_APART = (StrokeState.EXTRA, StrokeState.UNSURE)
_STEPS = {
    Fraction(1, 8): "thirty-seconds",
    Fraction(1, 6): "sextuplets",
    Fraction(1, 4): "sixteenths",
    Fraction(1, 3): "triplets",
    Fraction(1, 2): "eighths",
    Fraction(1): "quarters",
    Fraction(2): "halves",
}
_MOST_PLACES = 8
_TEMPO_HEARD = 0.005


def pass_words(piece: Piece, player: int, judgement: JudgedPass) -> Iterator[str]:
    """Lines on one pass: what became of the strokes, how they stand in time, what to look at.

    Args:
        piece: the piece.
        player: number of the player.
        judgement: the pass.
    """
    if not judgement.judged:
        yield f"Not judged: {judgement.why}"
        return
    counts = Counter(stroke.state for stroke in judgement.strokes)
    written = len(judgement.strokes) - counts[StrokeState.EXTRA]
    said = [f"{counts[state]} {state}" for state in (*_ORDER, *_APART) if counts[state]]
    yield f"{written} strokes: {', '.join(said)}"
    if runs := lost_runs(judgement):
        yield f"Lost: {lost_words(piece, runs)}"
    yield from _timing(judgement)
    yield from findings_words(piece, player, (judgement,))
    for state in (StrokeState.MISSED, StrokeState.WRONG, StrokeState.EXTRA):
        places = [_place(piece, stroke) for stroke in judgement.strokes if stroke.state is state]
        if places:
            more = f"; {len(places) - _MOST_PLACES} more" if len(places) > _MOST_PLACES else ""
            yield f"{str(state).capitalize()}: {'; '.join(places[:_MOST_PLACES])}{more}"
    yield from (f"{remark[0].upper()}{remark[1:]}." for remark in judgement.remarks)


def findings_words(piece: Piece, player: int, passes: Sequence[JudgedPass]) -> Iterator[str]:
    """Lines on where passes lean, hand to hand and place to place, and where strokes are lost again and again."""
    for finding in place_findings(piece, player, passes)[:3]:
        yield _place_line(piece, finding)
    hands = hand_finding(passes)
    if hands is not None and hands.is_sure and abs(hands.later.mean) >= HEARD_MS:
        side = "later" if hands.later.mean > 0 else "earlier"
        yield f"Left hand {abs(hands.later.mean):.0f} ± {hands.later.half:.0f} ms {side} than the right"
    for partner in partner_findings(piece, player, passes):
        if partner.words and partner.later is not None:
            later = f"{abs(partner.later.mean):.0f} ± {partner.later.half:.0f} ms against the rest"
            yield f"With {piece.player(partner.number).name} {partner.words}: {later}"
    if len(passes) > 1:
        lost = [strokes for strokes in lost_strokes(passes) if strokes.lost > 1][:3]
        if lost:
            places = "; ".join(f"bar {bar_name(piece, s.bar)}, {s.lost} of {s.written}" for s in lost)
            yield f"Strokes lost: {places}"


def figure_name(piece: Piece, place: FigurePlace) -> str:
    """A figure as one would say it: "sixteenths after the rest in bar 23"."""
    steps = _STEPS.get(place.step, "notes" if place.step else "note")
    where = " after the rest" if place.after_rest else f" from beat {_beat(piece, place)}"
    return f"{steps}{where} in bar {bar_name(piece, place.bar)}"


def _beat(piece: Piece, place: FigurePlace | JudgedStroke) -> str:
    return f"{beat_number(piece, Place(place.bar, place.at)):.3g}"


def _place_line(piece: Piece, finding: PlaceFinding) -> str:
    side = "earlier" if finding.figure.mean < 0 else "later"
    often = f", {finding.passes} passes of {finding.of}" if finding.of > 1 else ""
    name = figure_name(piece, finding.place)
    figure = f"{abs(finding.figure.mean):.0f} ± {finding.figure.half:.0f} ms {side} than the rest"
    return f"{name[0].upper()}{name[1:]}: {figure}{often}"


def _timing(judgement: JudgedPass) -> Iterator[str]:
    if judgement.mean_ms is not None and judgement.mean_ms_interval is not None:
        half = judgement.mean_ms_interval[1] - judgement.mean_ms
        yield f"On average {_side(judgement.mean_ms, half)}"
    elif judgement.delay.origin is DelayFrom.STROKES and not judgement.is_in_free_time:
        yield f"{judgement.mean_why[0].upper()}{judgement.mean_why[1:]}."
    if judgement.spread_ms is not None:
        yield f"Spread {judgement.spread_ms:.0f} ms"
    tempo = tempo_finding(judgement)
    if tempo is None:
        return
    if tempo.words:
        moved = f"{abs(tempo.moved.mean):.0f} ± {tempo.moved.half:.0f} ms {_than(tempo.moved.mean)}"
        yield f"{tempo.words.capitalize()}: the last third is {moved}"
    if tempo.start is not None and tempo.end is not None and any(map(_is_off, (tempo.start, tempo.end))):
        ends = [f"{100 * part.share:.1f} ± {100 * part.half:.1f} %" for part in (tempo.start, tempo.end)]
        yield f"Tempo at the start {ends[0]} of the one asked for, at the end {ends[1]}"


def _is_off(tempo: TempoFigure) -> bool:
    return abs(tempo.share - 1) > max(tempo.half, _TEMPO_HEARD)


def _than(mean: float) -> str:
    return "earlier than the first" if mean < 0 else "later than the first"


def _side(mean: float, half: float) -> str:
    return f"{abs(mean):.0f} ± {half:.0f} ms {'early' if mean < 0 else 'late'}"


def _place(piece: Piece, stroke: JudgedStroke) -> str:
    return f"bar {bar_name(piece, stroke.bar)} beat {_beat(piece, stroke)}"

"""From a matching to a judged pass: states, offsets, what is extra, and whether anything may be said at all."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from math import exp
from typing import NamedTuple

from score.strokes.heard_stroke import HeardStroke
from score.strokes.timing_figures import LEAST_FOR_MEAN, LEAST_FOR_SPREAD, mean_figure, spread
from score.takes.band_matching import Match
from score.takes.expected_strokes import ExpectedPass, ExpectedStroke
from score.takes.judged_pass import TOGETHER_MS, Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState

CHORD_SECONDS = 0.035
"""Notes struck within this belong to one moment."""
_ROLL_ENDS = 0.12
_BEFORE, _AFTER = 0.25, 0.5
"""Seconds round the music outside which nothing is extra: noises of getting ready and of ending."""
_FINEST = 24
_LEAST_SHARE = 0.4
_NEAR, _UNMEASURED = 0.03, 0.12
_OVER_CHANCE = 0.25
_FEW = 8
_CHECK = "check score, player, bars and tempo"


class Moment(NamedTuple):
    """One moment at which something was heard.

    Attributes:
        seconds: of the recording.
        level: how strongly.
        pitches: what was struck there, empty where no pitch is known.
        clear: whether it is a stroke for sure: only such a one can be extra.
        notes: the single notes, where a port or a file tells them.
    """

    seconds: float
    level: float = 1.0
    pitches: frozenset[int] = frozenset()
    clear: bool = True
    notes: tuple[HeardStroke, ...] = ()


class Regions:
    """Where strokes are expected that are not written one by one: in rolls, graces, just after a chord's first.

    Args:
        strokes: what is expected.
    """

    def __init__(self, strokes: Sequence[ExpectedStroke]) -> None:
        spans = sorted(span for stroke in strokes for span in _spans(stroke))
        self._starts: list[float] = []
        self._ends: list[float] = []
        for start, end in spans:
            if self._ends and start <= self._ends[-1]:
                self._ends[-1] = max(end, self._ends[-1])
            else:
                self._starts.append(start)
                self._ends.append(end)

    def hold(self, seconds: float) -> bool:
        """Whether a moment, in seconds of the music, lies in one."""
        index = bisect_right(self._starts, seconds) - 1
        return index >= 0 and seconds <= self._ends[index]


def _spans(stroke: ExpectedStroke) -> list[tuple[float, float]]:
    spans = []
    if stroke.is_rolled:
        spans.append((stroke.seconds, stroke.until + _ROLL_ENDS))
    if stroke.graces:
        spans.append((stroke.seconds - stroke.leads, stroke.seconds + CHORD_SECONDS))
    if len(stroke.pitches) > 1:
        spans.append((stroke.seconds, stroke.seconds + 2 * CHORD_SECONDS))
    return spans


def judged(
    expected: ExpectedPass,
    moments: Sequence[Moment],
    match: Match,
    start: float,
    delay: Delay,
    *,
    hidden: frozenset[int] = frozenset(),
    remarks: tuple[str, ...] = (),
    level: float = 0.0,
) -> JudgedPass:
    """A judged pass.

    Args:
        expected: what is written.
        moments: what was heard, in order.
        match: which of them belongs to which expected stroke.
        start: second of the recording in which the music begins, the delay in it.
        delay: how that was come by.
        hidden: indices of expected strokes that could not have been heard; they are unsure where nothing was.
        remarks: lines about the recording.
        level: what a clear stroke measures.
    """
    strokes = [
        _played(stroke, start, None if j is None else moments[j], index in hidden)
        for index, (stroke, j) in enumerate(zip(expected.strokes, match.heard, strict=True))
    ]
    taken = {j for j in match.heard if j is not None}
    left = [moment for j, moment in enumerate(moments) if j not in taken and moment.clear]
    extra = _extra(expected, left, start)
    strokes += extra
    strokes.sort(key=_moment)
    why = (
        _unlike(expected, moments, match, start, delay, hidden=hidden)
        or _crowded(len(taken), len(extra))
        or _strange(strokes)
    )
    if why:
        return unjudged(expected, start, delay, why, remarks=remarks)
    return with_figures(JudgedPass(tuple(strokes), True, "", delay=delay, remarks=remarks, level=level))


def _moment(stroke: JudgedStroke) -> float:
    return stroke.expected if stroke.expected is not None else stroke.seconds or 0.0


def unjudged(expected: ExpectedPass, start: float, delay: Delay, why: str, remarks: tuple[str, ...] = ()) -> JudgedPass:
    """A pass of which nothing can be said: every stroke unsure.

    Args:
        expected: what is written.
        start: second of the recording in which the music would begin.
        delay: how that was come by.
        why: one line, with what would help.
        remarks: lines about the recording.
    """
    strokes = tuple(_listed(stroke, start, StrokeState.UNSURE) for stroke in expected.strokes)
    return JudgedPass(strokes, False, why, delay=delay, remarks=remarks)


def with_figures(judgement: JudgedPass) -> JudgedPass:
    """The pass with mean and spread of its offsets, where there are strokes enough."""
    offsets = [stroke.timed_ms for stroke in judgement.strokes if stroke.timed_ms is not None]
    if len(offsets) < LEAST_FOR_SPREAD:
        return judgement
    judgement = judgement._replace(spread_ms=spread(offsets))
    if len(offsets) < LEAST_FOR_MEAN or judgement.delay.origin is DelayFrom.STROKES:
        return judgement
    figure = mean_figure(offsets)
    return judgement._replace(mean_ms=figure.mean, mean_ms_interval=figure.interval)


def _unlike(
    expected: ExpectedPass,
    moments: Sequence[Moment],
    match: Match,
    start: float,
    delay: Delay,
    *,
    hidden: frozenset[int],
) -> str:
    """Why what was heard is not what is written; "" where it is.

    Strokes that fall anywhere come close to written ones by chance, the more often the more there are.
    """
    could = [index for index in range(len(match.heard)) if index not in hidden]
    could = could if len(could) >= _FEW else list(range(len(match.heard)))
    off = [moments[j].seconds - expected.strokes[i].seconds for i in could if (j := match.heard[i]) is not None]
    if len(off) < _LEAST_SHARE * max(1, len(could)):
        share = len(off) / max(1, len(could))
        return f"only {share:.0%} of the written strokes are heard: {_CHECK}, or move the microphone closer"
    # Where nobody has measured the delay all strokes may be late by it.
    most = _UNMEASURED if delay.origin is DelayFrom.CLOCK else _NEAR
    centre = start + match.offset if abs(match.offset) < most else start
    near = sum(abs(away - centre) <= _NEAR for away in off) / max(1, len(could))
    inside = sum(m.clear and 0 <= m.seconds - start <= expected.seconds for m in moments)
    chance = 1 - exp(-inside / max(1.0, expected.seconds) * 2 * _NEAR)
    if near >= chance + _OVER_CHANCE * (1 - chance):
        return ""
    return f"the strokes do not fall where the written ones do: {_CHECK}"


def _crowded(played: int, extra: int) -> str:
    """Why nothing can be said where most of what is heard is written nowhere."""
    if extra <= max(_FEW, played):
        return ""
    return f"{extra} strokes are heard that are not written, {played} that are: {_CHECK}, or use headphones"


def _strange(strokes: Sequence[JudgedStroke]) -> str:
    """Why nothing can be said where most of what is played has another pitch."""
    wrong = sum(stroke.state is StrokeState.WRONG for stroke in strokes)
    played = wrong + sum(stroke.state.is_timed for stroke in strokes)
    if wrong <= max(_FEW, played // 2):
        return ""
    return f"{wrong} of {played} notes are not the written ones: {_CHECK}"


def _played(stroke: ExpectedStroke, start: float, moment: Moment | None, hidden: bool) -> JudgedStroke:
    if moment is None:
        return _listed(stroke, start, StrokeState.UNSURE if hidden else StrokeState.MISSED)
    offset = 1000 * (moment.seconds - start - stroke.seconds)
    state = state_of(offset)
    if moment.pitches and stroke.pitches and moment.pitches - stroke.pitches and stroke.pitches - moment.pitches:
        state = StrokeState.WRONG
    judgement = _listed(stroke, start, state)
    return judgement._replace(offset_ms=offset, seconds=moment.seconds, level=moment.level)


def state_of(offset_ms: float) -> StrokeState:
    """Early, together or late, by how late it was."""
    if abs(offset_ms) <= TOGETHER_MS:
        return StrokeState.TOGETHER
    return StrokeState.EARLY if offset_ms < 0 else StrokeState.LATE


def _listed(stroke: ExpectedStroke, start: float, state: StrokeState) -> JudgedStroke:
    return JudgedStroke(
        stroke.bar, stroke.at, state, expected=start + stroke.seconds, turn=stroke.turn, hand=stroke.hand
    )


def _extra(expected: ExpectedPass, moments: Sequence[Moment], start: float) -> list[JudgedStroke]:
    regions = Regions(expected.strokes)
    extra = []
    for moment in moments:
        seconds = moment.seconds - start
        if not -_BEFORE <= seconds <= expected.seconds + _AFTER or regions.hold(seconds):
            continue
        quarters = min(max(0.0, expected.times.quarters(max(0.0, seconds))), float(expected.route.length))
        offset = min(Fraction(round(quarters * _FINEST), _FINEST), expected.route.length - Fraction(1, _FINEST))
        visit, place = expected.route.at(offset)
        extra.append(JudgedStroke(visit.bar, place.at, StrokeState.EXTRA, seconds=moment.seconds, level=moment.level))
    return extra

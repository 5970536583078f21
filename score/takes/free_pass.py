"""A pass played alone in free time, against the player's own tempo: even or not, right or wrong.

Where a stroke stands is measured against a line through its neighbours, six to each side and itself left out, so that a
tempo that moves is no fault; of strokes played again after a restart the last time counts.
"""

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np

from score.strokes.spectral_rise import RATE, Samples
from score.strokes.struck_pitch import HIGHEST_EVIDENCE, LOWEST_EVIDENCE, pitch_evidence
from score.takes.band_matching import WINDOW
from score.takes.expected_strokes import ExpectedPass, ExpectedStroke
from score.takes.free_matching import EXTRA, IN_A_ROLL, IN_GRACES, Costs, PitchCosts, follow
from score.takes.judged_pass import FREE_TIME, Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.takes.pass_judging import Moment, state_of, with_figures

_WRONG = 3.5
_SIDE = 6
_LEAST = 4


class FreeMatch(NamedTuple):
    """What was followed.

    Attributes:
        places: for each moment its expected stroke's index, None for none.
        share: of the moments outside rolls and graces that have one.
    """

    places: tuple[int | None, ...]
    share: float


def followed_moments(expected: ExpectedPass, moments: Sequence[Moment]) -> FreeMatch:
    """The places of moments with known pitches."""
    pitches = [stroke.pitches for stroke in expected.strokes]

    # The same few notes and chords come again and again.
    @cache
    def of(heard: frozenset[int]) -> Costs:
        if not heard:
            return np.zeros(len(pitches))
        return np.array([_WRONG * (1 - len(heard & p) / len(heard | p)) if p else _WRONG for p in pitches])

    def costs(j: int) -> Costs:
        return of(moments[j].pitches)

    return _followed(expected, moments, costs)


def followed_sound(expected: ExpectedPass, moments: Sequence[Moment], samples: Samples) -> FreeMatch:
    """The places of moments whose pitches are only more or less likely.

    Args:
        expected: what is written.
        moments: what was heard, in order.
        samples: the recording.
    """
    written = np.zeros((len(expected.strokes), HIGHEST_EVIDENCE - LOWEST_EVIDENCE + 1))
    for index, stroke in enumerate(expected.strokes):
        for pitch in stroke.pitches:
            if LOWEST_EVIDENCE <= pitch <= HIGHEST_EVIDENCE:
                written[index, pitch - LOWEST_EVIDENCE] = 1 / len(stroke.pitches)
    ends = [moment.seconds for moment in moments[1:]] + [len(samples) / RATE]

    def costs(j: int) -> Costs:
        evidence = pitch_evidence(samples, moments[j].seconds, ends[j])
        return np.asarray(_WRONG * (1 - written @ evidence) if evidence.any() else np.zeros(len(written)))

    return _followed(expected, moments, costs)


def _followed(expected: ExpectedPass, moments: Sequence[Moment], costs: PitchCosts) -> FreeMatch:
    extra = np.array([_extra_cost(expected, index) for index in range(len(expected.strokes))])
    written = [stroke.seconds for stroke in expected.strokes]
    rolls = [_roll(expected, index) for index in range(len(expected.strokes))]
    places = follow(written, [m.seconds for m in moments], costs, lambda _: extra, rolls=rolls)
    return FreeMatch(places, sum(place is not None for place in places) / max(1, len(places)))


def _extra_cost(expected: ExpectedPass, index: int) -> float:
    if expected.strokes[index].is_rolled:
        return IN_A_ROLL
    graces = index + 1 < len(expected.strokes) and expected.strokes[index + 1].graces
    return IN_GRACES if graces else EXTRA


def _roll(expected: ExpectedPass, index: int) -> float:
    """Seconds after a stroke in which strokes that are not written are expected: to the end of a roll or of graces."""
    stroke = expected.strokes[index]
    coming = expected.strokes[index + 1] if index + 1 < len(expected.strokes) else None
    until = coming.seconds if coming is not None and coming.graces else stroke.until
    return max(until, stroke.until) - stroke.seconds


def judged_free(expected: ExpectedPass, moments: Sequence[Moment], match: FreeMatch) -> JudgedPass:
    """Judge what was followed; a mean and a delay are nothing that free playing has.

    Args:
        expected: what is written.
        moments: what was heard, in order.
        match: which belongs where.
    """
    last = {place: j for j, place in enumerate(match.places) if place is not None}
    pairs = sorted(last.items())
    offsets = _against_neighbours(expected, moments, pairs)
    strokes = [
        _stroke(stroke, None if index not in last else moments[last[index]], offsets.get(index))
        for index, stroke in enumerate(expected.strokes)
    ]
    strokes += _extra(expected, moments, match)
    delay = Delay(0.0, DelayFrom.STROKES)
    return with_figures(JudgedPass(tuple(strokes), True, "", delay=delay, remarks=(FREE_TIME,)))


def _against_neighbours(
    expected: ExpectedPass, moments: Sequence[Moment], pairs: Sequence[tuple[int, int]]
) -> dict[int, float]:
    """How late each place was, milliseconds, by a line through six neighbours on either side."""
    offsets: dict[int, float] = {}
    for k, (place, j) in enumerate(pairs):
        around = [pair for pair in pairs[max(0, k - _SIDE) : k + _SIDE + 1] if pair[0] != place]
        # After a restart moments go back: only what was played in one go counts.
        around = [(p, i) for p, i in around if (p < place) == (i < j) and abs(i - j) <= 3 * _SIDE]
        if len(around) < _LEAST:
            continue
        written = np.array([expected.strokes[p].seconds for p, _ in around]) - expected.strokes[place].seconds
        played = np.array([moments[i].seconds for _, i in around])
        slope, level = np.polyfit(written, played, 1)
        offset = moments[j].seconds - float(level)
        if slope > 0 and abs(offset) <= WINDOW:
            offsets[place] = 1000 * offset
    return offsets


def _stroke(stroke: ExpectedStroke, moment: Moment | None, offset: float | None) -> JudgedStroke:
    state = StrokeState.MISSED if moment is None else StrokeState.UNSURE if offset is None else state_of(offset)
    if moment is not None and moment.pitches - stroke.pitches and stroke.pitches - moment.pitches:
        state = StrokeState.WRONG
    seconds = None if moment is None else moment.seconds
    return JudgedStroke(
        stroke.bar,
        stroke.at,
        state,
        offset_ms=offset,
        seconds=seconds,
        expected=None if seconds is None or offset is None else seconds - offset / 1000,
        turn=stroke.turn,
        hand=stroke.hand,
        level=0.0 if moment is None else moment.level,
    )


def _extra(expected: ExpectedPass, moments: Sequence[Moment], match: FreeMatch) -> list[JudgedStroke]:
    """Strokes that belong nowhere, at the place before them; not those of rolls and graces."""
    extra = []
    place = 0
    for moment, matched in zip(moments, match.places, strict=True):
        place = place if matched is None else matched
        stroke = expected.strokes[place]
        coming = expected.strokes[min(place + 1, len(expected.strokes) - 1)]
        if matched is None and moment.clear and not stroke.is_rolled and not coming.graces:
            extra.append(
                JudgedStroke(stroke.bar, stroke.at, StrokeState.EXTRA, seconds=moment.seconds, level=moment.level)
            )
    return extra

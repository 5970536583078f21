"""A pass played on keys or pads: moments and pitches are known, so nothing is hidden and chords are seen."""

from collections import defaultdict
from collections.abc import Sequence

from score.strokes.heard_stroke import HeardStroke
from score.takes.band_matching import Hearing, Match, MatchCosts, Wish, match
from score.takes.expected_strokes import ExpectedPass
from score.takes.free_pass import followed_moments, judged_free
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, StrokeState
from score.takes.pass_alignment import Beginning, PitchMoments, beginning, usual_lead
from score.takes.pass_judging import CHORD_SECONDS, Moment, Regions, judged, unjudged
from score.takes.sent_notes import sent_notes

_SAME_CLOCK = 0.06
"""Seconds the beginning may be off a count-in's end for the recording to be on the machine's own clock."""
_AGAINST = (StrokeState.MISSED, StrokeState.WRONG, StrokeState.EXTRA)
_MOST_STRAY, _LEAST_FOLLOWED = 0.15, 0.6
NOTHING = "nothing was played: check that the port or the file holds notes"


def judge_played(
    expected: ExpectedPass, heard: Sequence[HeardStroke], delay: float | None = None, start: float | None = None
) -> JudgedPass:
    """Judge strokes from a MIDI port, a MIDI file or tapped keys.

    Args:
        expected: what is written.
        heard: in the order of their moments, on the recording's clock.
        delay: seconds the instrument is known to add; sought where None.
        start: second of the recording in which the music begins, the delay not in it; sought where None.
    """
    if not heard:
        return unjudged(expected, start or 0.0, Delay(0.0, DelayFrom.NOTHING), NOTHING)
    heard, remark = sent_notes(expected, heard)
    judgement = _judged(expected, heard, delay, start)
    return judgement._replace(remarks=(*judgement.remarks, remark)) if remark else judgement


def _judged(
    expected: ExpectedPass, heard: Sequence[HeardStroke], delay: float | None, start: float | None
) -> JudgedPass:
    moments = together(heard)
    begun, first = None, start
    if first is None:
        seconds = [moment.seconds for moment in moments]
        earliest, latest = min(-1.0, seconds[0] - expected.seconds), max(1.0, seconds[-1])
        begun = beginning(_voices(expected, heard), expected.counts, earliest, latest)
        first = begun.seconds
    match = matched(expected, moments, first)
    begins, found_delay = _begins(expected, begun, match, start=start, delay=delay)
    judgement = judged(expected, settled(expected, moments, match), match, begins, found_delay)
    return judgement if start is not None else _or_free(expected, moments, judgement)


def _or_free(expected: ExpectedPass, moments: Sequence[Moment], along: JudgedPass) -> JudgedPass:
    """The pass as played along with a machine, or in free time where that explains clearly more of it."""
    if not any(moment.pitches for moment in moments) or not any(stroke.pitches for stroke in expected.strokes):
        return along
    stray = sum(stroke.state in _AGAINST for stroke in along.strokes)
    if along.judged and stray <= _MOST_STRAY * len(expected.strokes):
        return along
    match = followed_moments(expected, moments)
    free = judged_free(expected, moments, match)
    still = sum(stroke.state in _AGAINST for stroke in free.strokes)
    if match.share < _LEAST_FOLLOWED or (along.judged and 2 * still > stray):
        return along
    return free


def _voices(expected: ExpectedPass, heard: Sequence[HeardStroke]) -> list[PitchMoments]:
    """A voice a pitch; all in one where no pitch is written or heard."""
    written: dict[int | None, list[float]] = defaultdict(list)
    played: dict[int | None, list[float]] = defaultdict(list)
    pitched = any(stroke.pitches for stroke in expected.strokes) and any(stroke.pitch is not None for stroke in heard)
    for stroke in expected.strokes:
        for pitch in (stroke.pitches if pitched else None) or (None,):
            written[pitch].append(stroke.seconds)
    for blow in heard:
        played[blow.pitch if pitched else None].append(blow.seconds)
    return [PitchMoments(written[pitch], played[pitch]) for pitch in written.keys() | played.keys()]


def together(heard: Sequence[HeardStroke]) -> list[Moment]:
    """Strokes within 35 ms of one another as one moment; the same pitch again is another."""
    moments: list[Moment] = []
    for stroke in heard:
        pitches = frozenset(() if stroke.pitch is None else (stroke.pitch,))
        last = moments[-1] if moments else None
        if last is None or stroke.seconds - last.seconds > CHORD_SECONDS or not pitches or pitches & last.pitches:
            moments.append(Moment(stroke.seconds, stroke.level, pitches, notes=(stroke,)))
        else:
            level = max(last.level, stroke.level)
            moments[-1] = last._replace(pitches=last.pitches | pitches, level=level, notes=(*last.notes, stroke))
    return moments


def settled(expected: ExpectedPass, moments: Sequence[Moment], match: Match) -> list[Moment]:
    """The moments, each in the time of its first right note; a stray note beside a whole chord is a moment of its own.

    Args:
        expected: what is written.
        moments: as `together` gives them.
        match: which of them belongs to which expected stroke; its indices stay good.
    """
    settled_moments = list(moments)
    for stroke, j in zip(expected.strokes, match.heard, strict=True):
        if j is None:
            continue
        right = [note for note in moments[j].notes if note.pitch in stroke.pitches]
        stray = [note for note in moments[j].notes if note.pitch not in stroke.pitches]
        if not right or not stray:
            continue
        settled_moments[j] = moments[j]._replace(seconds=min(note.seconds for note in right))
        if {note.pitch for note in right} == stroke.pitches:
            settled_moments[j] = settled_moments[j]._replace(pitches=stroke.pitches)
            settled_moments += [Moment(note.seconds, note.level, notes=(note,)) for note in stray]
    return settled_moments


def matched(expected: ExpectedPass, moments: Sequence[Moment], start: float) -> Match:
    """The matching of moments with known pitches."""
    regions = Regions(expected.strokes)
    hearings = [
        Hearing(moment.seconds - start, 0.0 if regions.hold(moment.seconds - start) else 4.0, pitches=moment.pitches)
        for moment in moments
    ]
    wanted = [Wish(stroke.seconds, pitches=stroke.pitches) for stroke in expected.strokes]
    return match(wanted, hearings, MatchCosts())


def _begins(
    expected: ExpectedPass, begun: Beginning | None, match: Match, *, start: float | None, delay: float | None
) -> tuple[float, Delay]:
    """Where the music begins with the delay in it, and how that is known."""
    if start is not None:
        return start + (delay or 0.0), Delay(delay or 0.0, DelayFrom.GIVEN if delay else DelayFrom.CLOCK)
    assert begun is not None
    if begun.bars:
        lead = expected.counts[begun.bars].seconds
        return begun.seconds, Delay(begun.seconds - lead, DelayFrom.COUNT_IN)
    by_strokes = begun.seconds + match.offset
    leads = [counted.seconds for counted in expected.counts]
    lead = min(leads, key=lambda seconds: abs(by_strokes - seconds - (delay or 0.0)))
    if delay is not None:
        return lead + delay, Delay(delay, DelayFrom.GIVEN)
    if abs(by_strokes - lead) <= _SAME_CLOCK:
        return lead, Delay(0.0, DelayFrom.CLOCK)
    return by_strokes, Delay(by_strokes - usual_lead(expected.counts, by_strokes), DelayFrom.STROKES)

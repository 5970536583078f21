"""A pass heard by a microphone: what is expected leads the ear, so that quiet strokes count and rings do not."""

from collections.abc import Sequence
from math import log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.strokes.clock_drift import clock_drift, undrifted
from score.strokes.mix_delay import mix_delay
from score.strokes.onsets import CLEAR, FAINT, LIKELY, Onset, onset_hop, onsets
from score.strokes.sound_delay import sound_delay
from score.strokes.speaker_bleed import predicted_bleed, shifted
from score.strokes.spectral_rise import RATE, Rises, Samples, loudness, rises, spectra
from score.strokes.struck_pitch import MARGIN, MARGIN_IN_BLEED, struck_pitch
from score.takes.band_matching import Hearing, Match, MatchCosts, Wish, match
from score.takes.count_in_sound import count_in_start
from score.takes.expected_strokes import ExpectedPass
from score.takes.free_pass import followed_sound, judged_free
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass
from score.takes.pass_alignment import PitchMoments, beginning, usual_lead
from score.takes.pass_judging import Moment, Regions, judged, unjudged
from score.takes.written_pitches import WrittenPitches

SILENT = "the recording is silent: check which microphone is used, and that it is not muted"
OVER = "the recording is over at once: record the whole pass"
CLIPS = "the recording clips: turn the microphone down"
HIDDEN = "what the loudspeakers played hides some strokes: headphones help"
_SHORTEST = 0.2
"""Seconds of sound under which there is nothing to listen for."""
_FLOOR, _SURE_FLOOR = 0.1, 1.0
"""Shares of the predicted bleed under which nothing rises."""
_OWN, _BLED = 0.05, 0.06
"""Rises: of the player's own under which a stroke may be what is left of the loudspeakers'; of theirs from which."""
_OVER_QUIET, _QUIET_PERCENT = 8.0, 3.0
_MISSED = 2.5
_ENDS = 0.05
_LEAST_FOLLOWED = 0.75
_DRIFTED = 0.02
_MOST_WRONG = 0.35
_CLICKS_AGREE, _STROKES_AGREE = 0.008, 0.15
_AROUND_HOPS = 2
_STEEP_IGNORED, _STEEP_USED = 2.5, 4.0


class AlongMix(NamedTuple):
    """What the loudspeakers played.

    Attributes:
        samples: mono, at `RATE`.
        start: second of it at which the music begins.
    """

    samples: Samples
    start: float


class Listened(NamedTuple):
    """A recording as it was listened to.

    Attributes:
        rise: of the spectrum, a value a hop.
        sure: the same where whatever the loudspeakers might have left is left out: an extra stroke rises here too.
        level: loudness it was scaled by.
        samples: the recording without the loudspeakers.
        bleed: rise of what the loudspeakers sound, None where they are not heard.
    """

    rise: Rises
    sure: Rises
    level: float
    samples: Samples
    bleed: Rises | None = None

    def bleeds(self, seconds: float) -> bool:
        """Whether the loudspeakers strike at a moment themselves: what seems to be added there may be theirs."""
        return self.bleed is not None and _height(self.bleed, seconds, _AROUND_HOPS) >= _BLED

    def hides(self, seconds: float) -> bool:
        """Whether a stroke at a moment cannot be told from the loudspeakers' own there."""
        return self.bleeds(seconds) and _height(self.sure, seconds, _AROUND_HOPS) < _OWN


def _height(rise: Rises, seconds: float, around: int) -> float:
    """The highest rise at a moment and so many hops around it."""
    hop = onset_hop(seconds)
    return float(rise[max(0, hop - around) : hop + around + 1].max(initial=0.0))


class PassHints(NamedTuple):
    """What is known of a recording beforehand.

    Attributes:
        mix: what the loudspeakers played, None when nobody says.
        delay: seconds the recording runs behind, where it is known.
        level: loudness kept from an earlier take of this player and microphone, 0 for none.
        clips: the recording reaches the end of its scale.
    """

    mix: AlongMix | None = None
    delay: float | None = None
    level: float = 0.0
    clips: bool = False


def judge_sound(expected: ExpectedPass, samples: Samples, hints: PassHints | None = None) -> JudgedPass:
    """Judge a recorded pass.

    Args:
        expected: what is written.
        samples: the recording, mono at `RATE`.
        hints: what is known of it.
    """
    hints = hints or PassHints()
    remarks = (CLIPS,) if hints.clips else ()
    if not np.any(samples):
        return unjudged(expected, 0.0, Delay(0.0, DelayFrom.NOTHING), SILENT, remarks)
    if len(samples) < _SHORTEST * RATE:
        return unjudged(expected, 0.0, Delay(0.0, DelayFrom.NOTHING), OVER, remarks)
    sent, delay = _sent(samples, hints)
    drift = clock_drift(samples, sent) if sent is not None else 0.0
    if drift and sent is not None:
        samples = undrifted(samples, drift)
        again = sound_delay(samples, sent, -_DRIFTED, _DRIFTED)
        sent = shifted(sent, again.seconds, len(samples))
        delay = delay._replace(seconds=delay.seconds + again.seconds)
    heard = listened(samples, sent, hints.level)
    attacks = onsets(heard.rise, FAINT)
    if sent is not None and hints.mix is not None:
        start = hints.mix.start + delay.seconds
    else:
        start, delay = _start(expected, samples, attacks, hints.delay)
    matched = _matched(expected, attacks, start)
    if delay.origin is DelayFrom.STROKES:
        start, delay = start + matched.offset, delay._replace(seconds=delay.seconds + matched.offset)
    moments = [Moment(onset.seconds, onset.strength, clear=_is_sure(onset, heard)) for onset in attacks]
    margin = MARGIN if sent is None else MARGIN_IN_BLEED
    moments = _with_pitches(expected, moments, matched, heard.samples, margin=margin)
    hidden = _hidden(attacks, matched, heard)
    matched = matched._replace(heard=tuple(None if i in hidden else j for i, j in enumerate(matched.heard)))
    remarks = (*remarks, HIDDEN) if hidden else remarks
    hidden |= _outside(expected, start, len(samples) / RATE)
    judgement = judged(expected, moments, matched, start, delay, hidden=hidden, remarks=remarks, level=heard.level)
    if not judgement.judged and sent is None:
        judgement = _or_free(expected, attacks, samples, judgement)
    return _on_recordings_clock(judgement, drift)


def _hidden(attacks: Sequence[Onset], matched: Match, heard: Listened) -> frozenset[int]:
    """Strokes that are matched with what may be the loudspeakers'."""
    return frozenset(i for i, j in enumerate(matched.heard) if j is not None and heard.hides(attacks[j].seconds))


def _outside(expected: ExpectedPass, start: float, seconds: float) -> frozenset[int]:
    """Strokes that are due before the recording begins or after it ends: nobody can say that they were missed."""
    due = (start + stroke.seconds for stroke in expected.strokes)
    return frozenset(index for index, moment in enumerate(due) if not 0 <= moment <= seconds - _ENDS)


def _or_free(expected: ExpectedPass, attacks: Sequence[Onset], samples: Samples, along: JudgedPass) -> JudgedPass:
    """A pass that follows no machine, followed by its pitches where they are clear enough."""
    if not all(stroke.pitches for stroke in expected.strokes):
        return along
    moments = [Moment(onset.seconds, onset.strength) for onset in attacks if onset.strength >= LIKELY]
    match = followed_sound(expected, moments, samples)
    places = {place for place in match.places if place is not None}
    if match.share < _LEAST_FOLLOWED or len(places) < _LEAST_FOLLOWED * len(expected.strokes):
        return along
    return judged_free(expected, moments, match)


def _on_recordings_clock(judgement: JudgedPass, drift: float) -> JudgedPass:
    if not drift:
        return judgement
    strokes = tuple(
        stroke._replace(
            seconds=None if stroke.seconds is None else stroke.seconds * (1 + drift),
            expected=None if stroke.expected is None else stroke.expected * (1 + drift),
        )
        for stroke in judgement.strokes
    )
    return judgement._replace(strokes=strokes)


def _sent(samples: Samples, hints: PassHints) -> tuple[Samples | None, Delay]:
    """What the loudspeakers sent, as late as it is heard; None when it is not."""
    if hints.mix is None:
        return None, Delay(0.0, DelayFrom.NOTHING)
    mix = hints.mix.samples
    delay = mix_delay(samples, mix)
    if not delay.is_trusted:
        return None, Delay(0.0, DelayFrom.NOTHING)
    return shifted(mix, delay.seconds, len(samples)), Delay(delay.seconds, DelayFrom.MIX, delay.quality)


def listened(samples: Samples, sent: Samples | None, level: float) -> Listened:
    """The rise of the player's own sound, the loudspeakers' taken away and what they may have left kept as a floor."""
    if sent is None:
        bands = spectra(samples)
        scale = level or _scale(bands)
        rise = rises(bands, scale)
        return Listened(rise, rise, scale, samples=samples)
    bleed = predicted_bleed(samples, sent)
    own = samples - bleed
    bands, floor = spectra(own), spectra(bleed)
    scale = level or max(_scale(bands), loudness(floor))
    rise, sure = rises(bands, scale, _FLOOR * floor), rises(bands, scale, _SURE_FLOOR * floor)
    return Listened(rise, sure, scale, samples=own, bleed=rises(floor, scale))


def _scale(bands: NDArray[np.float32]) -> float:
    """The recording's loudness, or what would stand well over its quietest moments where nothing else does."""
    quiet = float(np.percentile(np.sqrt(np.mean(np.square(bands), axis=1)), _QUIET_PERCENT)) if len(bands) else 0.0
    return max(loudness(bands), _OVER_QUIET * quiet)


def _start(
    expected: ExpectedPass, samples: Samples, attacks: Sequence[Onset], delay: float | None
) -> tuple[float, Delay]:
    """Where the music begins by the clicks or the strokes themselves."""
    clear = [onset for onset in attacks if onset.strength >= LIKELY]
    if not clear:
        return 0.0, Delay(0.0, DelayFrom.NOTHING)
    voice = PitchMoments([stroke.seconds for stroke in expected.strokes], [onset.seconds for onset in clear])
    earliest, latest = min(-1.0, clear[0].seconds - expected.seconds), max(1.0, clear[-1].seconds)
    tuned = WrittenPitches(expected.strokes, clear, samples)
    begun = beginning([voice], expected.counts, earliest, latest, tuned)
    leads = [counted.seconds for counted in expected.counts]
    bars = begun.bars or 1
    within = _CLICKS_AGREE if begun.bars else _STROKES_AGREE
    ours = count_in_start(samples, expected.counts[bars], begun.seconds - leads[bars], within)
    if ours is not None:
        return ours + leads[bars], Delay(ours, DelayFrom.COUNT_IN)
    if begun.bars:
        return begun.seconds, Delay(begun.seconds - leads[begun.bars], DelayFrom.COUNT_IN)
    if delay is not None:
        lead = min(leads, key=lambda seconds: abs(begun.seconds - seconds - delay))
        return lead + delay, Delay(delay, DelayFrom.GIVEN)
    return begun.seconds, Delay(begun.seconds - usual_lead(expected.counts, begun.seconds), DelayFrom.STROKES)


def _matched(expected: ExpectedPass, attacks: Sequence[Onset], start: float) -> Match:
    regions = Regions(expected.strokes)
    hearings = [_hearing(onset, start, regions) for onset in attacks]
    wanted = [Wish(stroke.seconds, _MISSED) for stroke in expected.strokes]
    return match(wanted, hearings, MatchCosts())


def _with_pitches(
    expected: ExpectedPass, moments: list[Moment], matched: Match, samples: Samples, *, margin: float
) -> list[Moment]:
    """What was heard, with its pitch where it is another one than the single note that is written.

    Where most seem to be others it is the instrument: tuned apart, or sounding in another octave than it is written.
    """
    told, others = 0, dict[int, int]()
    for stroke, index in zip(expected.strokes, matched.heard, strict=True):
        if index is None or len(stroke.pitches) != 1 or stroke.is_rolled:
            continue
        (written,) = stroke.pitches
        until = moments[index + 1].seconds if index + 1 < len(moments) else len(samples) / RATE
        pitch = struck_pitch(samples, moments[index].seconds, written, until, margin)
        told += pitch is not None
        if pitch is not None and pitch != written:
            others[index] = pitch
    if len(others) > _MOST_WRONG * told:
        return moments
    return [
        moment._replace(pitches=frozenset({others[index]})) if index in others else moment
        for index, moment in enumerate(moments)
    ]


def _is_sure(onset: Onset, heard: Listened) -> bool:
    is_clear = onset.strength >= CLEAR and _height(heard.sure, onset.seconds, 1) >= CLEAR
    return is_clear and not heard.bleeds(onset.seconds)


def _hearing(onset: Onset, start: float, regions: Regions) -> Hearing:
    """The stronger an onset, the dearer to ignore; the weaker, the dearer to use."""
    over = log(max(onset.strength, 1e-4) / CLEAR)
    ignored = 0.0 if regions.hold(onset.seconds - start) else min(7.0, max(0.15, 3 + _STEEP_IGNORED * over))
    used = min(6.0, max(0.0, -_STEEP_USED * over))
    return Hearing(onset.seconds - start, ignored, used)

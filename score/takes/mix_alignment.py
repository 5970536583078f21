"""Where in a mix of the others the music begins: their written strokes and clicks are looked for in it."""

from statistics import median

from score.errors import RequestError
from score.piece import Piece
from score.playback.sound_events import CLICK_VOICES
from score.playback.timeline import PlayOptions, timeline
from score.strokes.onsets import LIKELY, onsets
from score.strokes.spectral_rise import Samples, loudness, rises, spectra
from score.takes.expected_strokes import ExpectedPass
from score.takes.pass_alignment import PitchMoments, beginning
from score.takes.sound_pass import AlongMix
from score.time.pulse import PulseOptions

_LEAST_EXPLAINED = 0.4
_NEAR, _EXACT = 0.04, 0.006


def along_mix(piece: Piece, expected: ExpectedPass, pulse: PulseOptions, player: int, samples: Samples) -> AlongMix:
    """The mix with its beginning.

    Args:
        piece: the piece.
        expected: what the player plays along it.
        pulse: the time it is in.
        player: who is not in it.
        samples: mono, at the rate of `score.strokes`.

    Raises:
        RequestError: it is silent, or holds something else.
    """
    bands = spectra(samples)
    heard = [onset for onset in onsets(rises(bands, loudness(bands) or 1.0)) if onset.strength >= LIKELY]
    moments = _moments(piece, expected, pulse, player)
    if not heard:
        raise RequestError("Silent mix", "nothing is heard in it", "give the sound that was played along")
    earliest = min(-1.0, heard[0].seconds - expected.seconds)
    voice = PitchMoments(moments, [onset.seconds for onset in heard])
    begun = beginning([voice], expected.counts, earliest, heard[-1].seconds)
    if begun.explained < _LEAST_EXPLAINED:
        raise RequestError("Another mix", "it does not hold these bars at this tempo", "check bars and tempo")
    return AlongMix(samples, _exact(begun.seconds, moments, [onset.seconds for onset in heard], expected))


def _moments(piece: Piece, expected: ExpectedPass, pulse: PulseOptions, player: int) -> list[float]:
    """When the others or the click strike, seconds from the beginning of the music."""
    others = frozenset(other.number for other in piece.players) - {player}
    strikes = timeline(piece, expected.route, PlayOptions(pulse, others, count_in=0)).strikes
    moments: list[float] = []
    for strike in strikes:
        if not moments or strike.seconds - moments[-1] > _NEAR or strike.voice in CLICK_VOICES:
            moments.append(strike.seconds)
    return moments


def _exact(start: float, moments: list[float], heard: list[float], expected: ExpectedPass) -> float:
    """The beginning to a millisecond: the end of a count-in where it is, else what the strokes say by their median."""
    off = [min((second - start - moment for second in heard), key=abs) for moment in moments]
    near = [away for away in off if abs(away) <= _NEAR]
    start += median(near) if near else 0.0
    lead = min((counted.seconds for counted in expected.counts), key=lambda seconds: abs(seconds - start))
    return lead if abs(lead - start) <= _EXACT else start

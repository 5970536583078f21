"""Whether a microphone can judge a pass: how loud, how noisy, how far behind, and what would help."""

from typing import NamedTuple

import numpy as np

from score.playback.recording_file import FULL_SCALE
from score.playback.sound_events import CLICK, CLICK_PLAYER, Strike, Timeline
from score.strokes.sound_delay import SoundDelay, sound_delay
from score.strokes.spectral_rise import RATE, Samples
from score.takes.live_sound import CaughtBlock

QUIET_SECONDS, CLICKS_SECONDS, STROKES_SECONDS = 1.5, 5.0, 5.0
"""The check listens to the room, then to its own clicks, then to some strokes of the player's."""
_GAPS = (0.43, 0.57, 0.38, 0.61, 0.49, 0.53, 0.41)
"""Seconds between clicks: uneven, so that none is taken for the next one."""
_MOST_DELAY = 0.9
_LEAST_OVER_NOISE = 20.0
"""Decibels that strokes must be louder than the room: below that quiet ones are lost (measured with noise added)."""
_NOTHING = "Nothing is heard: check which microphone is used, that it is not muted, and that your terminal may use it."
_SILENT_DB = -120.0
_BLOCK = 480


class EarCheck(NamedTuple):
    """What a check found.

    Attributes:
        noise_db, clicks_db, strokes_db: of the room, the clicks and the player's strokes, decibels of full scale; None
            where nothing at all was heard.
        delay_ms: from a click's moment in the machine to its moment in what was heard; None where it is not heard.
        quality: height of that match, as `score.strokes.sound_delay.TRUSTED` explains.
        judging: whether passes can be judged.
        help: lines: why not, and what would help; also what would make it better.
    """

    noise_db: float | None
    clicks_db: float | None
    strokes_db: float | None
    delay_ms: float | None
    quality: float
    judging: bool
    help: tuple[str, ...]


def check_timeline() -> Timeline:
    """What the machine plays while it listens."""
    moments = [QUIET_SECONDS + 0.2]
    for gap in _GAPS:
        moments.append(moments[-1] + gap)
    strikes = tuple(Strike(at, 0.05, CLICK_PLAYER, voice=CLICK, pitch=None, velocity=110) for at in moments)
    return Timeline(strikes, QUIET_SECONDS + CLICKS_SECONDS + STROKES_SECONDS)


def check_ear(caught: CaughtBlock, headphones: bool = False) -> EarCheck:
    """Look at what was heard of the check.

    Args:
        caught: from the beginning of its timeline on.
        headphones: whether the player wears some, so that the clicks need not be heard.
    """
    quiet, clicks, strokes = _parts(caught.heard)
    if not np.any(caught.heard):
        return EarCheck(None, None, None, delay_ms=None, quality=0.0, judging=False, help=(_NOTHING,))
    first, last = len(quiet), len(quiet) + len(clicks)
    delay = sound_delay(clicks, caught.sent[first:last], 0.0, _MOST_DELAY)
    noise, loud = _level(quiet, 50.0), _level(strokes, 99.0)
    is_loud = loud - noise >= _LEAST_OVER_NOISE
    clips = bool(np.any(np.abs(caught.heard) >= FULL_SCALE))
    return EarCheck(
        noise,
        _level(clicks, 99.0),
        loud,
        delay_ms=1000 * delay.seconds if delay.is_trusted else None,
        quality=delay.quality,
        judging=is_loud,
        help=tuple(_help(is_loud, clips, delay, headphones)),
    )


def _parts(heard: Samples) -> tuple[Samples, Samples, Samples]:
    quiet = round(QUIET_SECONDS * RATE)
    clicks = quiet + round(CLICKS_SECONDS * RATE)
    return heard[:quiet], heard[quiet:clicks], heard[clicks:]


def _level(sound: Samples, percentile: float) -> float:
    """Level of the blocks of ten milliseconds that so many per cent are softer than, decibels of full scale."""
    blocks = sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    if not len(blocks):
        return _SILENT_DB
    power = float(np.percentile(np.mean(blocks.astype(np.float64) ** 2, axis=1), percentile))
    return max(_SILENT_DB, 10 * float(np.log10(power + 1e-12)))


def _help(is_loud: bool, clips: bool, delay: SoundDelay, headphones: bool) -> list[str]:
    lines = []
    if not is_loud:
        lines.append("Strokes are hardly louder than the room: play some when asked, move the microphone closer.")
    if clips:
        lines.append("The sound clips: turn the microphone down.")
    if not delay.is_trusted and headphones:
        lines.append("Hold one of the headphones to the microphone while it counts in, once each time sound starts.")
    elif not delay.is_trusted:
        lines.append("The clicks are not heard: turn the loudspeakers up, or wear headphones and say so.")
    elif not headphones:
        lines.append("Headphones are better: what loudspeakers play hides strokes.")
    return lines

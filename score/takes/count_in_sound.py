"""Our own count-in looked for in a recording by its sound: exact to a hundredth of a millisecond, and 40 dB down."""

import numpy as np

from score.playback.click_strikes import CountIn, count_in_clicks
from score.playback.mixing import render
from score.playback.sound_events import Timeline
from score.strokes.sound_delay import sound_delay
from score.strokes.spectral_rise import RATE, Samples

_AROUND = 0.3
_TAIL = 0.2


def count_in_start(samples: Samples, counted: CountIn, about: float, within: float) -> float | None:
    """Second of a recording in which a count-in begins; None where our clicks are not heard there.

    Args:
        samples: the recording, mono at `RATE`.
        counted: the count-in.
        about: second in which it should begin.
        within: seconds it may be off.
    """
    if len(counted.beats) < 2:
        return None
    first = max(0, round((about - _AROUND) * RATE))
    last = round((about + counted.seconds + _AROUND + _TAIL) * RATE)
    # Where it would have ended before the recording began nothing of it is there.
    stretch = samples[first : max(first, last)]
    if len(stretch) < RATE // 2:
        return None
    delay = sound_delay(stretch, clicks_sound(counted), about - _AROUND - first / RATE, about + _AROUND - first / RATE)
    start = first / RATE + delay.seconds
    return start if delay.is_trusted and abs(start - about) <= within else None


def clicks_sound(counted: CountIn) -> Samples:
    """The count-in as we sound it, mono."""
    clicks = Timeline(tuple(count_in_clicks(counted)), counted.seconds)
    return np.concatenate([block.mean(axis=1) for block in render(clicks)]).astype(np.float32)

"""The delay of a recording behind a whole mix: wherever in it the recording begins, and though music repeats itself."""

from itertools import pairwise

import numpy as np

from score.strokes.sound_delay import TRUSTED, SoundDelay, sound_delay
from score.strokes.spectral_rise import RATE, Samples

_SHORT, _LONG = 4.0, 16.0
_SAME = 0.005
_STRETCH = 2 * RATE
_STRETCHES = 8
_AROUND = 0.03


def mix_delay(heard: Samples, mix: Samples) -> SoundDelay:
    """The delay, by the first seconds where they are enough; the quality is under 7 where the mix is not heard.

    Two clocks that run apart blur what a long stretch says, and a short one may fit a beat too early or too late: where
    they disagree, the delay that more of the recording agrees with is taken.

    Args:
        heard: the recording.
        mix: what the loudspeakers played.
    """
    choices = []
    for seconds in (_SHORT, _LONG):
        frames = round(seconds * RATE)
        choices.append(sound_delay(heard[:frames], mix[:frames], -seconds / 2, seconds / 2))
    best = max(choices, key=lambda delay: delay.quality)
    if best.quality < 2 * TRUSTED:
        choices.append(sound_delay(heard, mix, -len(mix) / RATE, len(heard) / RATE))
        best = max(choices, key=lambda delay: delay.quality)
    if all(abs(a.seconds - b.seconds) <= _SAME for a, b in pairwise(choices)):
        return best
    return max(choices, key=lambda choice: _agreement(heard, mix, choice))


def _agreement(heard: Samples, mix: Samples, delay: SoundDelay) -> float:
    """How well short stretches from all over the recording agree with a delay."""
    if not delay.is_trusted:
        return 0.0
    late = round(delay.seconds * RATE)
    first, last = max(0, late), min(len(heard), len(mix) + late) - _STRETCH
    if last <= first:
        return 0.0
    total = 0.0
    for start in np.linspace(first, last, _STRETCHES).astype(int):
        sent = mix[start - late : start - late + _STRETCH]
        total += sound_delay(heard[start : start + _STRETCH], sent, -_AROUND, _AROUND).quality
    return total

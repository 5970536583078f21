"""How much later a pad's or a key's stamp is than its stroke: a microphone hears its thud and, before it, our clicks.

What a pass needs is how late a stroke is stamped that falls exactly with what the loudspeaker sounds. The clicks tell
the whole way out and in, the thuds how far stamps and microphone stand apart; in their sum the microphone's own delay
falls out. Taps along with clicks could not tell it: the player's own lead would be in it.
"""

from collections.abc import Sequence
from statistics import median

from score.strokes.onsets import CLEAR, onsets
from score.strokes.spectral_rise import RATE, Samples, loudness, rises, spectra
from score.takes.pad_delay_text import PadDelay

_MOST_APART = 0.3
_AGREE = 0.008


def pad_delay(heard: Samples, stamps: Sequence[float], way: float) -> PadDelay:
    """The delay of a pad.

    Args:
        heard: by the microphone, from second 0 of what the machine plays; silent before the thuds.
        stamps: of the pad, in seconds from the moment at which that second 0 should be heard.
        way: seconds from a click's moment in the machine to its moment in what was heard.
    """
    bands = spectra(heard)
    thuds = [onset.seconds for onset in onsets(rises(bands, loudness(bands) or 1.0)) if onset.strength >= CLEAR]
    apart = [stamp - thud for stamp in stamps for thud in thuds if abs(stamp - thud) <= _MOST_APART]
    near = max(([a for a in apart if abs(a - b) <= _AGREE] for b in apart), key=len, default=[])
    if not near:
        return PadDelay(0.0, 0.0, 0)
    middle = median(near)
    return PadDelay(middle + way, median(abs(a - middle) for a in near), len(near))


def silent_but(heard: Samples, first: float) -> Samples:
    """A recording with silence up to a second: clicks are no thuds."""
    quiet = heard.copy()
    quiet[: round(first * RATE)] = 0.0
    return quiet

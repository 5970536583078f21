"""Strokes without pitch as a listener meets them: how much of each band of frequencies an instrument's attack fills.

Common practice, no source: the shares were written down by ear and order of size. They only have to tell a bass drum
from a snare drum from a triangle; what a recording really sounds like is learnt from it (`learnt_shares`).
"""

import numpy as np
from numpy.typing import NDArray

from score.piece import Instrument

OCTAVES, PARTS = 8, 2
BANDS = OCTAVES * PARTS
"""Octaves of the table, and bands in each."""
EDGES = tuple(42.0 * 2 ** (band / PARTS) for band in range(BANDS + 1))
"""Hz between which the bands lie."""

#             42   84  168  336  672 1344 2688 5376 Hz
_FAMILIES = {
    "low drum": (1.0, 0.9, 0.5, 0.3, 0.2, 0.1, 0.1, 0.0),
    "drum": (0.3, 0.9, 1.0, 0.6, 0.4, 0.2, 0.1, 0.1),
    "hand drum": (0.1, 0.4, 0.9, 1.0, 0.6, 0.4, 0.2, 0.1),
    "snare drum": (0.1, 0.4, 0.8, 0.6, 0.6, 0.8, 1.0, 1.0),
    "wood": (0.0, 0.0, 0.1, 0.4, 1.0, 1.0, 0.6, 0.3),
    "small metal": (0.0, 0.0, 0.0, 0.1, 0.2, 0.5, 1.0, 1.0),
    "cymbal": (0.0, 0.1, 0.2, 0.3, 0.5, 0.8, 1.0, 1.0),
    "gong": (0.3, 0.6, 0.9, 1.0, 0.9, 0.7, 0.5, 0.3),
    "rattle": (0.0, 0.0, 0.0, 0.1, 0.2, 0.6, 1.0, 1.0),
    "any": (0.3, 0.5, 0.7, 0.7, 0.7, 0.7, 0.7, 0.6),
}
FAMILIES = {name: tuple(share for share in shares for _ in range(PARTS)) for name, shares in _FAMILIES.items()}
"""What each family's attack fills, 0 to 1, a share for each band."""
_BY_KEY = {
    "bass-drum": "low drum",
    "snare-drum": "snare drum",
    "bongos": "hand drum",
    "congas": "hand drum",
    "tam-tam": "gong",
    "gong": "gong",
    "thunder-sheet": "gong",
    "triangle": "small metal",
    "finger-cymbals": "small metal",
    "wind-chimes": "small metal",
    "castanets": "wood",
    "tambourine": "rattle",
}
_BY_SOUND = (
    ("drum.snare", "snare drum"),
    ("drum.bass", "low drum"),
    ("drum.bongo", "hand drum"),
    ("drum.conga", "hand drum"),
    ("drum.frame", "hand drum"),
    ("drum.tambourine", "rattle"),
    ("drum", "drum"),
    ("metal.cymbal", "cymbal"),
    ("metal.hi-hat", "cymbal"),
    ("metal.gong", "gong"),
    ("metal.tamtam", "gong"),
    ("metal.triangle", "small metal"),
    ("metal", "small metal"),
    ("wood", "wood"),
    ("rattle", "rattle"),
)


def family(instrument: Instrument) -> str:
    """The family of an instrument without pitch, a key of `FAMILIES`."""
    if instrument.key in _BY_KEY:
        return _BY_KEY[instrument.key]
    if "cymbal" in instrument.key:
        return "cymbal"
    return next((name for start, name in _BY_SOUND if instrument.sound.startswith(start)), "any")


def pitch_shares(pitch: int) -> NDArray[np.float32]:
    """What a struck bar or string of this MIDI number fills: its own octave most, the two above it less."""
    own = 440 * 2 ** ((pitch - 69) / 12)
    place = np.log2(own / EDGES[0]) - (np.arange(BANDS) + 0.5) / PARTS
    shares = np.exp(-(place**2)) + 0.5 * np.exp(-((place + 2) ** 2) / 2)
    return np.asarray(shares, np.float32)

"""One stroke as it was heard, whatever heard it: the type between every ear and everything that judges."""

from typing import NamedTuple

SOUND, MIDI, KEY = "sound", "midi", "key"
"""What heard a stroke: a microphone or a sound file, a MIDI port or file, a key that was tapped."""


class HeardStroke(NamedTuple):
    """One onset that was heard.

    Attributes:
        seconds: when, from the beginning of what was recorded, on the clock of whatever recorded it; nothing is taken
            off yet for the way the sound took.
        level: how strongly, over 0. From sound it is the rise of the spectrum (about 0.03 for what may just be a
            stroke, 0.15 for a clear one); from MIDI and keys the velocity as a share of 127.
        pitch: sounding MIDI number, None where it is not known: taps, drums, and most of what a microphone hears.
        source: `SOUND`, `MIDI` or `KEY`.
    """

    seconds: float
    level: float = 1.0
    pitch: int | None = None
    source: str = SOUND

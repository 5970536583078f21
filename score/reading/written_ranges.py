"""Written ranges of the instruments that sound an octave or two above what is written.

Sources: xylophone written F3-C7 and glockenspiel written G3-C6: encyclopaedias; crotales written C4-C6,
celesta C3-C7, song bells, handbells: common practice, no source.
"""

_C4 = 60
_RANGES = {
    "xylophone": range(53, 97),
    "glockenspiel": range(55, 85),
    "crotales": range(_C4, 85),
    "celesta": range(36, 97),
    "song-bells": range(53, 85),
    "handbells": range(36, 97),
}


def written_range(key: str) -> range:
    """MIDI numbers of the written pitches of an instrument; every pitch where the instrument is not listed."""
    return _RANGES.get(key, range(128))

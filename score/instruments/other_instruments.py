"""Instruments that are no percussion, by the names scores print and by families of sounds."""

import re

# Common practice, no source: instruments scores print beside percussion, in the usual languages.
_NAMES = re.compile(
    r"viol[ie]?n|viola\b|cell[oi]|contrabass|kontrabass|double ?bass|guitar|gitarre|harp\b|harfe|arpa\b|fl[öoûu]te|"
    r"piccolo|oboe|hautbois|clarinet|klarinette|bassoon|fagott|sax|horns?\b|trumpet|trompete|trombone|posaune|tuba\b|"
    r"piano|klavier|harpsichord|cembalo|organ\b|orgel|accordion|akkordeon|recorder|voice|soprano|sopran\b|tenor\b|"
    r"baritone|choir|chor\b|geige|bratsche|strings?\b",
    re.I,
)
_FAMILIES = frozenset({"brass", "keyboard", "pluck", "strings", "synth", "voice", "wind"})
"""Families of MusicXML sounds that are no percussion; the few that are played by percussionists have a key."""


def is_no_percussion(name: str, sound: str = "") -> bool:
    """Whether a name or a MusicXML sound id says that an instrument is of another family."""
    return sound.split(".")[0] in _FAMILIES or _NAMES.search(name) is not None

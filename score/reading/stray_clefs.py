"""A percussion clef that strays into the part of an instrument with pitch: its notes keep their pitch."""

import re

from score.instruments.other_instruments import is_no_percussion
from score.instruments.percussion import named_in, of_sound
from score.reading.part_scan import PartScan, WrittenNote
from score.reading.reading_log import WarningLog

PERCUSSIVE = re.compile(r"perc|schlag|schlzg|batt|batteria|player|spieler|joueur|drum|mallet|schlagwerk", re.IGNORECASE)
"""Names of parts that are a percussionist's."""


def without_stray_clefs(scan: PartScan, log: WarningLog) -> PartScan:
    """The part with notes written as pitches under a stray percussion clef read as pitches.

    A percussionist's part written with pitches stays without pitch, as it is meant.

    Args:
        scan: the part.
        log: notes each bar in which such a clef takes hold.
    """
    strays = {note.id for note in scan.notes if _is_stray(note)}
    if not strays or not _is_pitched_part(scan, len(strays)):
        return scan
    before = False
    for note in scan.notes:
        if note.id in strays and not before:
            what = "a percussion clef stands in the part of an instrument with pitch; its notes were read as pitches"
            log.add(what, scan.head.called, scan.labels[note.bar])
        before = note.id in strays
    return scan._replace(notes=tuple(n._replace(clef="") if n.id in strays else n for n in scan.notes))


def _is_stray(note: WrittenNote) -> bool:
    return note.clef == "percussion" and note.signs.pitch is not None


def _is_pitched_part(scan: PartScan, strays: int) -> bool:
    """Nothing speaks for percussion, and the name, the sound or the rest of the part for pitch."""
    head, listed = scan.head, list(scan.head.instruments.values())
    percussion = (
        PERCUSSIVE.search(head.name)
        or named_in(head.name)
        or any(each.midi_unpitched is not None or named_in(each.name) or of_sound(each.sound) for each in listed)
    )
    if percussion or any(note.signs.unpitched is not None for note in scan.notes):
        return False
    told = is_no_percussion(head.name) or any(is_no_percussion(each.name, each.sound) for each in listed)
    return told or sum(note.signs.pitch is not None for note in scan.notes) > strays

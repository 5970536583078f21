"""What a part, or one of its listed instruments, is played on, and what it is called.

In order of trust: the part's name where it names an instrument, the standard sound, the listed name, the percussion
key, the MIDI program. A listed name is what `listed_names` has left of it: nothing of what plays the score back.
"""

import re
from dataclasses import replace

from score.instruments.general_midi_names import PROGRAM_TITLES
from score.instruments.other_instruments import is_no_percussion
from score.instruments.percussion import Percussion, fold, named_in, of_midi_program, of_midi_unpitched, of_sound
from score.piece import Instrument
from score.reading.chair_names import without_hand
from score.reading.listed_names import printed_name
from score.reading.part_heads import ListedInstrument, PartHead
from score.reading.part_scan import PartScan
from score.reading.rosters import who

UNKNOWN = "Instrument?"
"""What a part is played on when nothing says it."""
_NO_INSTRUMENT = re.compile(r"\s*(?:(?:player|spieler|joueur|part|staff|stimme|voice)?\s*\d*)\s*", re.IGNORECASE)
# "Cb." is a contrabass or a cowbell: of a pitched part two letters tell nothing.
_LONGEST_INITIALS = 2


_SKINS = frozenset({"tom-toms", "bongos", "congas", "timbales", "rototoms", "bass-drum"})
"""Drums that no key alone makes of a note with an x for a head; a snare drum has one where its rim is struck."""


def base_instrument(scan: PartScan) -> Instrument:
    """What the part is played on before any word says otherwise."""
    head = scan.head
    listed = _only_listed(scan)
    unpitched = all(note.signs.pitch is None or note.clef == "percussion" for note in scan.notes)
    short = head.short if not head.name or who(head.name) else ""
    percussion = (
        _told(head.name, unpitched) or (listed and _percussion_of(listed, unpitched)) or _told(short, unpitched)
    )
    if percussion is None:
        return _other_instrument(head, listed, pitched=not unpitched)
    return _instrument(percussion, listed, head)


def listed_instrument(listed: ListedInstrument, head: PartHead) -> Instrument:
    """One of several listed instruments; where its name is none of ours the part's own name speaks for it."""
    unpitched = listed.midi_unpitched is not None
    percussion = _percussion_of(listed, unpitched) or _told(head.name, unpitched)
    if percussion is None:
        # A name of its own wins over the part's, unless that is an instrument's.
        own = replace(head, name="") if listed.name and not is_no_percussion(head.name) else head
        return _other_instrument(own, listed, pitched=not unpitched)
    instrument = _instrument(percussion, listed, head)
    return instrument._replace(name=listed.name) if _is_own_name(listed, percussion) else instrument


def _other_instrument(head: PartHead, listed: ListedInstrument | None, pitched: bool) -> Instrument:
    """An instrument that is none of ours: by the part's name, the list's, or with "?" by its General MIDI program."""
    own = "" if _NO_INSTRUMENT.fullmatch(head.name) else without_hand(head.name)
    program = listed.midi_program if listed else None
    title = f"{PROGRAM_TITLES[program]}?" if program is not None else UNKNOWN
    name = own or (listed.name if listed else "") or title
    sound = listed.sound if listed else ""
    return Instrument("", name, sound, pitched=pitched, midi_unpitched=listed.midi_unpitched if listed else None)


def _told(name: str, unpitched: bool) -> Percussion | None:
    return first_named(name) if unpitched or len(fold(name)) > _LONGEST_INITIALS else None


def first_named(text: str) -> Percussion | None:
    """The first instrument in a name that may list several ("Vibraphone, Crotales")."""
    for piece in re.split(r"[,;/&+\n]| and | und | et | e ", text):
        percussion = named_in(piece)
        if percussion is not None:
            return percussion
    return None


def _only_listed(scan: PartScan) -> ListedInstrument | None:
    """The part's main instrument: the one its first note refers to, else the first listed."""
    listed = scan.head.instruments
    for note in scan.notes:
        referred = listed.get(note.signs.instrument)
        if referred is not None:
            return referred
    return next(iter(listed.values()), None)


def _percussion_of(listed: ListedInstrument, unpitched: bool) -> Percussion | None:
    """By its sound, unless that is a whole kit; by its name; by its MIDI numbers."""
    sound = of_sound(listed.sound)
    percussion = sound if sound is not None and sound.key != "drum-set" else named_in(listed.name) or sound
    if percussion is not None:
        return percussion
    if unpitched and listed.midi_unpitched is not None:
        return of_midi_unpitched(listed.midi_unpitched)
    # Program 0 is what programs write when they know nothing.
    return of_midi_program(listed.midi_program) if listed.midi_program and not listed.name else None


def _instrument(percussion: Percussion, listed: ListedInstrument | None, head: PartHead) -> Instrument:
    printed = [name for name in (listed.name if listed else "", without_hand(head.name)) if name]
    name = next((name for name in printed if named_in(name) is percussion and _is_only_name(name)), percussion.name)
    name = printed_name(name, percussion)
    told = listed.sound if listed and of_sound(listed.sound) in (None, percussion) else ""
    sound = told or percussion.sound
    midi = listed.midi_unpitched if listed and listed.midi_unpitched is not None else percussion.midi_unpitched
    return Instrument(
        percussion.key, name, sound, pitched=percussion.pitched, midi_unpitched=None if percussion.pitched else midi
    )


def _is_own_name(listed: ListedInstrument, percussion: Percussion) -> bool:
    """Whether the list's name says more than ours: it names the instrument, or has none of ours in it but a key."""
    if not listed.name:
        return False
    return named_in(listed.name) is percussion or (listed.midi_unpitched is not None and named_in(listed.name) is None)


def is_doubtful(instrument: Instrument, listed: ListedInstrument) -> bool:
    """Whether only the percussion key says that this is a drum struck on its skin.

    Keys count from 1 in MusicXML and from 0 elsewhere, and files are off by one: a conga written with the head of a
    cymbal is a cymbal (common practice, no source).
    """
    by_key = listed.midi_unpitched is not None and of_sound(listed.sound) is None and named_in(listed.name) is None
    return by_key and instrument.key in _SKINS


def _is_only_name(name: str) -> bool:
    return len(name) < 40 and not re.search(r"[,;/&+()]|\d|player|spieler|perc", name, re.IGNORECASE)

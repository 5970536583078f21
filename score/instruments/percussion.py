"""Which percussion instrument a name, a standard sound or a MIDI number means.

Names are compared folded: without case, accents, dots, hyphens, counts ("4 toms") and player's numbers
("Marimba II"). A name that is not here is no error: the instrument then keeps its printed name.
"""

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

from score.instruments.percussion_names import ROWS


class Percussion(NamedTuple):
    """One percussion instrument.

    Attributes:
        key: our own key.
        name: English name.
        names: every folded name it is known by.
        sound: MusicXML sound id, "" when there is none.
        pitched: whether it has definite pitch.
        octaves: octaves by which it sounds above the written pitch.
        midi_unpitched: General MIDI percussion key from 0, or None.
    """

    key: str
    name: str
    names: tuple[str, ...]
    sound: str
    pitched: bool
    octaves: int
    midi_unpitched: int | None


@lru_cache(maxsize=1)
def all_percussion() -> dict[str, Percussion]:
    """The table by key, in its own order."""
    rows = [_row(line) for line in re.sub(r"\n +", " ", ROWS).strip().splitlines()]
    return {row.key: row for row in rows}


@lru_cache(maxsize=4096)
def named(text: str) -> Percussion | None:
    """The instrument a printed name means as a whole ("susp. cym.", "4 Toms", "Marimba II")."""
    folded = fold(text)
    by_name = _by_name()
    return by_name.get(folded) or by_name.get(_bare(folded))


@lru_cache(maxsize=4096)
def named_in(text: str) -> Percussion | None:
    """The instrument named somewhere in a text ("Player 2 - marimba"); the longest name wins, then the first."""
    whole = named(text)
    if whole:
        return whole
    words = fold(text).split()
    by_name = _by_name()
    for size in range(min(5, len(words)), 0, -1):
        for start in range(len(words) - size + 1):
            phrase = " ".join(words[start : start + size])
            # Two letters in the middle of other words are rather an initial than an instrument.
            if len(phrase) > 2 and phrase in by_name:
                return by_name[phrase]
    return None


def of_sound(sound: str) -> Percussion | None:
    """The instrument of a MusicXML sound id, or of the nearest id above it ("drum.bongo.high")."""
    parts = sound.strip().split(".")
    while len(parts) > 1:
        percussion = _by_sound().get(".".join(parts))
        if percussion:
            return percussion
        parts.pop()
    return None


def of_midi_unpitched(key: int | None) -> Percussion | None:
    """The instrument of a General MIDI percussion key, counted from 0."""
    return None if key is None else all_percussion().get(GENERAL_MIDI_KEYS.get(key, ""))


def of_midi_program(program: int | None) -> Percussion | None:
    """The pitched percussion of a General MIDI program, counted from 0."""
    return None if program is None else all_percussion().get(_PROGRAMS.get(program, ""))


def sizes(text: str) -> frozenset[str]:
    """The words of size or pitch in a name ("high", "tief"): what tells one wood block from another."""
    return frozenset(word for word in fold(text).split() if _SIZE.fullmatch(word))


def fold(text: str) -> str:
    """A name without case, accents and punctuation, words separated by single spaces."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return " ".join(re.sub(r"[^\w']+|_", " ", kept.replace("\u2019", "'")).split())


# General MIDI level 1 and 2 percussion map; keys counted from 0 as sent (35 is Acoustic Bass Drum).
GENERAL_MIDI_KEYS = {
    27: "whistle",
    31: "slapstick",
    35: "bass-drum",
    36: "bass-drum",
    37: "snare-drum",
    38: "snare-drum",
    39: "hand-claps",
    40: "snare-drum",
    41: "tom-toms",
    42: "hi-hat",
    43: "tom-toms",
    44: "hi-hat",
    45: "tom-toms",
    46: "hi-hat",
    47: "tom-toms",
    48: "tom-toms",
    49: "crash-cymbals",
    50: "tom-toms",
    51: "ride-cymbal",
    52: "china-cymbal",
    53: "ride-cymbal",
    54: "tambourine",
    55: "splash-cymbal",
    56: "cowbell",
    57: "crash-cymbals",
    58: "vibraslap",
    59: "ride-cymbal",
    60: "bongos",
    61: "bongos",
    62: "congas",
    63: "congas",
    64: "congas",
    65: "timbales",
    66: "timbales",
    67: "agogo",
    68: "agogo",
    69: "cabasa",
    70: "maracas",
    71: "whistle",
    72: "whistle",
    73: "guiro",
    74: "guiro",
    75: "claves",
    76: "wood-block",
    77: "wood-block",
    78: "cuica",
    79: "cuica",
    80: "triangle",
    81: "triangle",
    82: "shaker",
    83: "sleigh-bells",
    84: "mark-tree",
    85: "castanets",
    86: "surdo",
    87: "surdo",
}

# General MIDI level 1 sound set; programs counted from 0 as sent.
_PROGRAMS = {
    8: "celesta",
    9: "glockenspiel",
    11: "vibraphone",
    12: "marimba",
    13: "xylophone",
    14: "chimes",
    47: "timpani",
    108: "kalimba",
    114: "steel-pan",
}

_COUNTS = (
    r"\d+|[ivx]+|1st|2nd|an?|the|one|two|three|four|five|six|zwei|drei|vier|funf|deux|trois|quatre|due|tre|quattro"
)
_SIZES = (
    r"high(est)?|hi|low(est)?|medium|med|mid(dle)?|large|lg|small|sm|big|lower|upper|tief|hoch|klein(es)?|gross(es)?"
    r"|grave|aigue?|petite?|grande?|piccolo|alto|basso|acuto|solo"
)
_SIZE = re.compile(_SIZES)
_AROUND = re.compile(f"{_COUNTS}|{_SIZES}")


def _bare(folded: str) -> str:
    """The name without counts, numbers and sizes around it: "4 large tom toms" is "tom toms"."""
    words = folded.split()
    while words and _AROUND.fullmatch(words[0]):
        words.pop(0)
    while words and _AROUND.fullmatch(words[-1]):
        words.pop()
    return " ".join(words)


def _row(line: str) -> Percussion:
    key, name, names, sound, octaves, midi = (item.strip() for item in line.split(";"))
    folded = tuple(dict.fromkeys(fold(item) for item in (name, *names.split(","))))
    return Percussion(
        key,
        name,
        folded,
        sound=sound,
        pitched=octaves != "-",
        octaves=0 if octaves == "-" else int(octaves),
        midi_unpitched=None if midi == "-" else int(midi),
    )


@lru_cache(maxsize=1)
def _by_name() -> dict[str, Percussion]:
    return {name: row for row in reversed(all_percussion().values()) for name in row.names}


@lru_cache(maxsize=1)
def _by_sound() -> dict[str, Percussion]:
    by_sound = {row.sound: row for row in reversed(all_percussion().values()) if row.sound}
    return by_sound | {sound: all_percussion()[key] for sound, key in _MORE_SOUNDS.items()}


# Further sounds of sounds.xml that mean an instrument of the table.
_MORE_SOUNDS = {
    "pitched-percussion.bells": "glockenspiel",
    "pitched-percussion.bell-lyre": "glockenspiel",
    "pitched-percussion.mbira": "kalimba",
    "pitched-percussion.sanza": "kalimba",
    "metal.bells.chimes": "chimes",
    "metal.bells.tibetan": "singing-bowl",
    "metal.bells.jingle-bell": "sleigh-bells",
    "metal.cymbal.clash": "crash-cymbals",
    "metal.cymbal.hand": "crash-cymbals",
    "metal.bells.zills": "finger-cymbals",
    "metal.spoons": "bones",
    "metal.guira": "guiro",
    "wood.slapstick": "slapstick",
    "wood.agogo-block": "wood-block",
    "wood.granite-block": "wood-block",
    "wood.jam-block": "wood-block",
    "drum.kick-drum": "bass-drum",
    "drum.slit-drum": "log-drum",
    "drum.bendir": "frame-drum",
    "drum.bodhran": "frame-drum",
    "drum.dumbek": "darabuka",
    "drum.o-daiko": "taiko",
    "rattle.cog": "ratchet",
    "rattle.afoxe": "cabasa",
    "drum.group": "drum-set",
}

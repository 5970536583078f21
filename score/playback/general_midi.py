"""Our instruments in General MIDI: a program for what has definite pitch, a key of channel 10 for what has none.

Programs and keys are counted from 0 as they are sent (General MIDI level 1; keys 82 to 87 level 2).
Where General MIDI has no such instrument the nearest stands in, and the patch says for what.
"""

from dataclasses import dataclass
from math import floor

from score.instruments.percussion import all_percussion
from score.playback.sound_events import BREATH, CLICK_VOICES, RECORDED
from score.playback.voices.bar_sizes import steps

# General MIDI level 1 sound set, names as printed there; only what is used here.
PROGRAM_NAMES = {
    8: "Celesta",
    9: "Glockenspiel",
    10: "Music Box",
    11: "Vibraphone",
    12: "Marimba",
    13: "Xylophone",
    14: "Tubular Bells",
    15: "Dulcimer",
    47: "Timpani",
    78: "Whistle",
    98: "FX 3 (crystal)",
    108: "Kalimba",
    112: "Tinkle Bell",
    114: "Steel Drums",
    117: "Melodic Tom",
}
# General MIDI percussion map, names as printed there; only what is used here.
KEY_NAMES = {
    35: "Acoustic Bass Drum",
    36: "Bass Drum 1",
    37: "Side Stick",
    38: "Acoustic Snare",
    39: "Hand Clap",
    41: "Low Floor Tom",
    43: "High Floor Tom",
    45: "Low Tom",
    46: "Open Hi-Hat",
    47: "Low-Mid Tom",
    48: "Hi-Mid Tom",
    49: "Crash Cymbal 1",
    50: "High Tom",
    51: "Ride Cymbal 1",
    52: "Chinese Cymbal",
    53: "Ride Bell",
    54: "Tambourine",
    55: "Splash Cymbal",
    56: "Cowbell",
    57: "Crash Cymbal 2",
    58: "Vibraslap",
    59: "Ride Cymbal 2",
    60: "Hi Bongo",
    61: "Low Bongo",
    62: "Mute Hi Conga",
    63: "Open Hi Conga",
    64: "Low Conga",
    65: "High Timbale",
    66: "Low Timbale",
    67: "High Agogo",
    68: "Low Agogo",
    69: "Cabasa",
    70: "Maracas",
    71: "Short Whistle",
    72: "Long Whistle",
    73: "Short Guiro",
    74: "Long Guiro",
    75: "Claves",
    76: "Hi Wood Block",
    77: "Low Wood Block",
    79: "Open Cuica",
    80: "Mute Triangle",
    81: "Open Triangle",
    82: "Shaker",
    83: "Jingle Bell",
    84: "Bell Tree",
    85: "Castanets",
    87: "Open Surdo",
}


@dataclass(frozen=True, slots=True)
class Patch:
    """What to send for an instrument.

    Attributes:
        number: program, or key of channel 10.
        is_drum: channel 10; the number is the key.
        note: key to send with a program when the stroke has no pitch of its own.
        stands_for: name of the instrument that General MIDI lacks and this is nearest to; "" when it has it.
        is_silent: nothing is sent (a breath).
    """

    number: int
    is_drum: bool
    note: int = 60
    stands_for: str = ""
    is_silent: bool = False

    @property
    def name(self) -> str:
        """General MIDI's own name."""
        return (KEY_NAMES if self.is_drum else PROGRAM_NAMES)[self.number]


def patch_of(voice: str, pitch: float | None, variant: str = "") -> Patch:
    """What to send for a voice.

    Args:
        voice: a key of `score.instruments.percussion`, a click's, or a name that is not known: that one becomes a
            marimba when it has a pitch, a high wood block when it has none.
        pitch: sounding MIDI number or None.
        variant: size or written place, for instruments that come in sets.
    """
    if voice in CLICK_VOICES:
        return Patch(_CLICKS.get(voice, 0), True, is_silent=voice == BREATH)
    if voice == RECORDED:
        return Patch(0, True, is_silent=True)
    row = all_percussion().get(voice)
    if voice in _PROGRAMS and (pitch is not None or (row and row.pitched)):
        return Patch(_PROGRAMS[voice], False)
    name = row.name if row else voice or "an instrument without a name"
    if (pitch is not None and (row is None or voice in _NEAR_PROGRAMS)) or (row and row.pitched):
        return Patch(_NEAR_PROGRAMS.get(voice, 12), False, stands_for=name)
    return _drum(voice, name, None if row is None else row.midi_unpitched, variant)


def _drum(voice: str, name: str, own: int | None, variant: str) -> Patch:
    if voice in _SETS:
        return Patch(_of_set(_SETS[voice], steps(variant)), True)
    return Patch(own, True) if own is not None else Patch(_NEAR_KEYS.get(voice, 76), True, stands_for=name)


def _of_set(keys: tuple[int, ...], step: int) -> int:
    """The member of a set, low to high, that a size means; the middle one when it says nothing."""
    place = floor((len(keys) - 1) / 2 + 0.75 * step + 0.5)
    return keys[max(0, min(len(keys) - 1, place))]


_PROGRAMS = {
    "celesta": 8,
    "glockenspiel": 9,
    "vibraphone": 11,
    "marimba": 12,
    "xylophone": 13,
    "chimes": 14,
    "timpani": 47,
    "kalimba": 108,
    "steel-pan": 114,
    "tom-toms": 117,
}
_NEAR_PROGRAMS = {
    "bass-marimba": 12,
    "xylorimba": 13,
    "balafon": 12,
    "song-bells": 9,
    "crotales": 9,
    "metallophone": 11,
    "almglocken": 112,
    "handbells": 14,
    "church-bells": 14,
    "tuned-gongs": 14,
    "singing-bowl": 14,
    "tubes": 12,
    "musical-glasses": 98,
    "musical-saw": 78,
    "cimbalom": 15,
    "temple-blocks": 13,
    "wood-block": 13,
    "rototoms": 117,
    "boobams": 117,
    "cowbell": 112,
}
# Sets, low to high.
_SETS = {
    "tom-toms": (41, 43, 45, 47, 48, 50),
    "bongos": (61, 60),
    "congas": (64, 63),
    "timbales": (66, 65),
    "wood-block": (77, 76),
    "agogo": (68, 67),
    "bell-tree": (84,),
}
_CLICKS = {"click-strong": 76, "click": 77, "click-weak": 37}
_NEAR_KEYS = {
    "tenor-drum": 43,
    "rototoms": 48,
    "frame-drum": 45,
    "cajon": 36,
    "djembe": 64,
    "darabuka": 60,
    "tabla": 61,
    "taiko": 41,
    "log-drum": 77,
    "udu": 64,
    "drum-set": 38,
    "suspended-cymbal": 57,
    "sizzle-cymbal": 59,
    "finger-cymbals": 81,
    "tam-tam": 52,
    "gong": 52,
    "anvil": 53,
    "brake-drum": 53,
    "metal-pipe": 53,
    "metal-plate": 53,
    "wind-chimes": 84,
    "singing-bowl": 53,
    "church-bells": 53,
    "thundersheet": 52,
    "flexatone": 58,
    "waterphone": 84,
    "tin-cans": 56,
    "bottles": 67,
    "flower-pots": 67,
    "temple-blocks": 77,
    "slapstick": 39,
    "ratchet": 74,
    "sandpaper-blocks": 69,
    "log": 77,
    "bones": 85,
    "hammer": 77,
    "caxixi": 70,
    "rainstick": 69,
    "jawbone": 58,
    "rattle": 70,
    "foot-stamps": 35,
    "finger-snaps": 37,
    "siren": 72,
    "lions-roar": 79,
    "wind-machine": 69,
    "slide-whistle": 72,
    "bird-call": 71,
}

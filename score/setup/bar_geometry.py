"""Where bars lie on keyboard instruments, in mm from the left end, from a linear model.

Natural bars of a five-octave marimba are about 80 mm wide at the bottom and 40 mm at the top, taken as linear
(common practice, no source), with 10 mm between two. That makes 2.51 m of bars for an instrument that is about
2.59 m long over all (published method literature). Accidentals lie over the gap of their neighbours.
"""

from dataclasses import dataclass
from functools import cache

_NATURALS = (0, 2, 4, 5, 7, 9, 11)
GAP = 10.0


@dataclass(frozen=True, slots=True)
class KeyboardSize:
    """A keyboard instrument.

    Attributes:
        low, high: sounding MIDI numbers of its lowest and highest bar.
        wide, narrow: width of the lowest and the highest natural bar, mm.
    """

    low: int
    high: int
    wide: float
    narrow: float


# Ranges as they sound: published encyclopaedias (marimba, xylophone, glockenspiel), common practice (the rest).
# Widths other than the marimba's: common practice, no source.
KEYBOARDS = {
    "marimba": KeyboardSize(36, 96, 80.0, narrow=40.0),
    "bass-marimba": KeyboardSize(24, 72, 100.0, narrow=60.0),
    "xylophone": KeyboardSize(65, 108, 42.0, narrow=38.0),
    "vibraphone": KeyboardSize(53, 89, 57.0, narrow=39.0),
    "glockenspiel": KeyboardSize(79, 108, 32.0, narrow=25.0),
    "crotales": KeyboardSize(84, 108, 60.0, narrow=60.0),
    "chimes": KeyboardSize(60, 77, 60.0, narrow=60.0),
}
# What has pitch but no bars in a row: lowest and highest sounding MIDI number. Common practice, no source; timpani as a
# set of four. Others (bells, gongs, glasses) are built and hired note by note.
OTHER_RANGES = {
    "timpani": (38, 60),
    "celesta": (60, 108),
    "steel-pan": (60, 88),
    "cimbalom": (36, 93),
    "xylorimba": (48, 108),
}
# A marimba's top is always C7; the lowest bar by its size in octaves (published encyclopaedias).
MARIMBAS = {"4": 48, "4.3": 45, "4.5": 41, "4.6": 40, "5": 36}


@cache
def bar_mm(key: str, pitch: int) -> float:
    """Middle of a bar, mm from the left end; bars beyond the instrument go on in the model's way.

    Args:
        key: of the instrument; one that is no keyboard is taken for a marimba.
        pitch: sounding MIDI number.
    """
    keyboard = KEYBOARDS.get(key, KEYBOARDS["marimba"])
    if pitch % 12 not in _NATURALS:
        return (bar_mm(key, pitch - 1) + bar_mm(key, pitch + 1)) / 2
    index = _natural(pitch) - _natural(keyboard.low)
    return _left(keyboard, index) + _width(keyboard, index) / 2


def length_mm(key: str) -> float:
    """Length of an instrument's bars from end to end, mm."""
    keyboard = KEYBOARDS.get(key, KEYBOARDS["marimba"])
    count = _natural(keyboard.high) - _natural(keyboard.low) + 1
    return _left(keyboard, count) - GAP


def sounding_range(key: str) -> tuple[int, int] | None:
    """Lowest and highest sounding MIDI number of an instrument, None where there is no usual one."""
    keyboard = KEYBOARDS.get(key)
    return (keyboard.low, keyboard.high) if keyboard is not None else OTHER_RANGES.get(key)


def smallest_marimba(lowest: int) -> str:
    """Size in octaves of the smallest marimba with a bar, "" when none is low enough."""
    return next((size for size, low in MARIMBAS.items() if low <= lowest), "")


def _natural(pitch: int) -> int:
    """Number of naturals below a pitch; an accidental counts as the natural under it."""
    return 7 * (pitch // 12) + sum(step <= pitch % 12 for step in _NATURALS) - 1


def _width(keyboard: KeyboardSize, index: float) -> float:
    count = _natural(keyboard.high) - _natural(keyboard.low)
    return max(15.0, keyboard.wide + (keyboard.narrow - keyboard.wide) * index / count)


def _left(keyboard: KeyboardSize, index: int) -> float:
    """Left edge of a natural bar: the sum of the widths before it, and of the gaps."""
    if index < 0:
        return index * (keyboard.wide + GAP)
    return sum(_width(keyboard, i) for i in range(index)) + index * GAP

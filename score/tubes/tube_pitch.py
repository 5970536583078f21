"""Pitches in words and in hertz, equal temperament."""

import math
import re

from score.errors import RequestError

A4 = 440.0
"""Hertz of A4, the tuning frequency of ISO 16."""

NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
NATURALS = frozenset((0, 2, 4, 5, 7, 9, 11))
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
NOTE = r"[A-Ga-g](?:#|b|♯|♭)?\d"
"""A note with its octave, C4 the middle C."""

_CENTS = r"(?:\s*[+-]\s*\d+(?:\.\d+)?\s*(?:cents?|c|ct)\b)"
PITCH = rf"(?:{NOTE}{_CENTS}?|-?\d+(?:\.\d+)?\s*[hH][zZ])"
"""A pitch as it may be written: C3, Bb2-12c, 130.8 Hz."""

_LOW, _HIGH = 10.0, 20000.0


def hertz(midi: float, a4: float = A4) -> float:
    """Frequency of a MIDI number: a4·2^((m-69)/12)."""
    return float(a4 * 2 ** ((midi - 69) / 12))


def cents(low: float, high: float) -> float:
    """How many cents `high` lies above `low`, both in hertz: 1200·log2(high/low)."""
    return 1200 * math.log2(high / low)


def midi_of(frequency: float, a4: float = A4) -> float:
    """MIDI number of a frequency, with its fraction."""
    return 69 + 12 * math.log2(frequency / a4)


def note_name(midi: int, flats: bool = False) -> str:
    """The name of a MIDI number: C#3 for 49, or Db3 with flats."""
    return f"{(FLATS if flats else NAMES)[midi % 12]}{midi // 12 - 1}"


def pitch_name(frequency: float, a4: float = A4, flats: bool = False) -> str:
    """The nearest note and how far off: "C3", "C3+5c"."""
    midi = midi_of(frequency, a4)
    off = round(100 * (midi - round(midi)))
    return note_name(round(midi), flats) + (f"{off:+d}c" if off else "")


def same_name(name: str, other: str) -> bool:
    """Whether two names mean one tube: "Bb3" and "a#3", "c3+5c" and "C3+5c", "C3(2)" and "C3 (2)"."""
    return _as_sharp(name) == _as_sharp(other)


def _as_sharp(name: str) -> str:
    plain = "".join(name.split()).casefold().replace("♯", "#").replace("♭", "b")
    match = re.match(NOTE, plain)
    return note_name(note_number(match[0])).casefold() + plain[match.end() :] if match else plain


def note_number(text: str) -> int:
    """MIDI number of a note's name.

    Raises:
        RequestError: it is no note.
    """
    if not re.fullmatch(NOTE, text):
        raise RequestError("No such note", f"{text!r} is not a note with its octave", "write C3, F#3 or Bb3")
    sign = text[1:-1]
    return _STEPS[text[0].upper()] + 12 * (int(text[-1]) + 1) + (sign in ("#", "♯")) - (sign in ("b", "♭"))


def pitch_hertz(text: str, a4: float = A4) -> float:
    """Hertz of "C3", "C3+5c" or "130.8 Hz".

    Raises:
        RequestError: it is no pitch, or one that no tube sounds.
    """
    plain = text.strip()
    if re.fullmatch(r"-?\d+(?:\.\d+)?\s*[hH][zZ]", plain):
        return checked_hertz(float(plain[:-2]))
    match = re.fullmatch(rf"({NOTE})({_CENTS})?", plain)
    if match is None:
        raise RequestError("No such pitch", f"{text!r} is not a pitch", "write C3, C3+5c or 130.8 Hz")
    off = re.sub(r"[^\d.+-]", "", match[2] or "0")
    return hertz(note_number(match[1]) + float(off) / 100, a4)


def checked_hertz(frequency: float) -> float:
    """The frequency, when a tube can sound it.

    Raises:
        RequestError: outside 10 Hz to 20 kHz.
    """
    if not _LOW <= frequency <= _HIGH:
        what = f"{frequency:g} Hz is outside {_LOW:g} to {_HIGH:g}"
        raise RequestError("No such pitch", what, "check the number, or write the note: C3+5c")
    return frequency


def checked_a4(frequency: float) -> float:
    """A tuning frequency of A4 that some ensemble could use.

    Raises:
        RequestError: outside 380 to 500 Hz.
    """
    if not 380 <= frequency <= 500:
        raise RequestError("A4", f"{frequency:g} Hz is not a usual A4", "give a frequency from 380 to 500, such as 442")
    return frequency

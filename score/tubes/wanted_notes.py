"""The notes a set of tubes shall have: typed, or taken from a player's part."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from score.errors import RequestError
from score.piece import Piece
from score.places import find_player
from score.tubes.tube_pitch import (
    A4,
    NATURALS,
    NOTE,
    PITCH,
    checked_a4,
    hertz,
    midi_of,
    note_number,
    pitch_hertz,
    pitch_name,
)

_RANGE = re.compile(rf"({NOTE})\s*(?:-|\bto\b)\s*({NOTE})")
_NUMBERS = re.compile(r"(?<![\w.+-])(\d{1,3})\s*(?:-|\bto\b)\s*(\d{1,3})(?![\w.]|\s*[Hh][Zz])")
_A4 = re.compile(r"\bA4?\s*=\s*(\d+(?:\.\d+)?)(?:\s*Hz)?", re.I)
_FLAT = re.compile(r"\b[A-Ga-g]b\d|\b(?:F|[A-Ga-g]b)\s+major|\b(?:[DGCF]|[A-Ga-g]b)\s+minor", re.I)
_MAJOR, _MINOR = frozenset((0, 2, 4, 5, 7, 9, 11)), frozenset((0, 2, 3, 5, 7, 8, 10))
_SCALE = re.compile(r"\b([A-Ga-g](?:#|b)?)\s+(major|minor)\b", re.I)
_DIATONIC = re.compile(r"\b(?:diatonic|naturals)\b", re.I)
_CHROMATIC = re.compile(r"\bchromatic\b", re.I)
_DASHES = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2212": "-"})
_REMEDY = 'write "C3-C4 diatonic", "G3 A3 C4", a MIDI number or 130.8 Hz'
_MOST = 128
_NUMBERED = "MIDI numbers go from 1 to 127, low to high, and C4 is 60"


@dataclass(frozen=True, slots=True)
class Wanted:
    """One tube that is wanted.

    Attributes:
        name: the note, with cents where it lies between two, numbered where it is wanted again: "C3", "G3+12c",
            "C3 (2)".
        midi: the nearest MIDI number.
        frequency: hertz.
    """

    name: str
    midi: int
    frequency: float


def wanted_notes(text: str, a4: float = A4) -> tuple[Wanted, ...]:
    """The notes of a text, from low to high.

    A note written more than once is so many tubes, doubles or spares: "C3" and "C3 (2)". Ranges hold each note once,
    even where they overlap; a note written besides them is one tube more.
    Black keys are named as sharps, or as flats where the text holds flats or a key with flats and no sharps.
    Ranges, of notes or of MIDI numbers, hold every semitone unless the text says "diatonic" (the natural notes)
    or a key ("D major").
    "A4=442" in the text stands for `a4`.

    Args:
        text: such as "C3-C4 diatonic", "G3 A3 C4", "48 50 52", "48-60", "130.8 Hz", "D3-D4 D major A4=442".
        a4: hertz of A4.

    Raises:
        RequestError: something in it is no note, or there is none.
    """
    plain = _dotted(text).translate(_DASHES).replace("♯", "#").replace("♭", "b")
    a4, plain = checked_a4(_said_a4(plain) or a4), _A4.sub(" ", plain)
    flats = bool(_FLAT.search(plain)) and "#" not in plain
    allowed, word, plain = _scale(plain)
    ranged = {midi for low, high in _RANGE.findall(plain) for midi in _between(low, high, allowed)}
    plain = _RANGE.sub(" ", plain)
    ranged |= {midi for low, high in _NUMBERS.findall(plain) for midi in _counted(int(low), int(high), allowed)}
    plain = _NUMBERS.sub(" ", plain)
    extra = [pitch_hertz(pitch, a4) for pitch in re.findall(rf"(?<![\w.]){PITCH}(?!\w)", plain)]
    rest = re.sub(rf"(?<![\w.]){PITCH}(?!\w)", " ", plain).replace(",", " ").replace(";", " ").split()
    extra.extend(_midi_number(number, a4) for number in rest)
    if word and not ranged:
        what = f"{text!r}: {word!r} chooses among the notes of a range, and there is none"
        raise RequestError("No range", what, f'write "C3-C4 {word}", or only the notes')
    if not ranged and not extra:
        raise RequestError("No notes", f"{text!r} holds no note", _REMEDY)
    return _numbered([*(hertz(midi, a4) for midi in ranged), *extra], a4, flats)


def tuning(text: str, a4: float | None = None) -> float:
    """The frequency of A4 that a text gives ("A4=442"), else the one given, else the usual one.

    Raises:
        RequestError: no usual A4, or two different ones.
    """
    said = _said_a4(text)
    if said and a4 is not None and said != a4:
        raise RequestError("Two tunings", f"the notes say A4 = {said:g}, {a4:g} was asked for", "leave one of them out")
    return checked_a4(said or (A4 if a4 is None else a4))


def _said_a4(text: str) -> float | None:
    """The frequency of A4 in a text, None where it gives none."""
    said = sorted({float(figure) for figure in _A4.findall(_dotted(text))})
    if len(said) > 1:
        raise RequestError("Two tunings", f"{text!r} gives A4 twice", "leave one of them out")
    return checked_a4(said[0]) if said else None


def _dotted(text: str) -> str:
    """Decimal commas as dots."""
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def player_notes(piece: Piece, number: int, a4: float = A4, instrument: str = "") -> tuple[Wanted, ...]:
    """The sounding pitches of a player's part, from low to high, each once.

    Args:
        piece: the piece.
        number: the player's number.
        a4: hertz of A4.
        instrument: part of an instrument's name, to take the notes of that one only.

    Raises:
        RequestError: no such player or instrument, or no pitched notes there.
    """
    player = find_player(piece, number)
    chosen = {n for n, held in enumerate(player.instruments) if instrument.casefold() in held.name.casefold()}
    midi = {pitch for stroke in player.strokes if stroke.instrument in chosen for pitch in stroke.pitches}
    if not midi:
        names = ", ".join(held.name for held in player.instruments if held.pitched) or "no pitched instrument"
        where = f"player {number}" + (f" on {instrument!r}" if instrument else "")
        raise RequestError("No notes", f"{where} has no pitched note in the score", f"this player has {names}")
    return _once((hertz(number, checked_a4(a4)) for number in midi), a4)


def _scale(text: str) -> tuple[frozenset[int], str, str]:
    """The pitch classes a range may hold, the words that said so, and the text without them."""
    key = _SCALE.search(text)
    if key:
        tonic = note_number(f"{key[1][0].upper()}{key[1][1:]}4") % 12
        steps = _MAJOR if key[2].lower() == "major" else _MINOR
        return frozenset((tonic + step) % 12 for step in steps), key[0], text.replace(key[0], " ", 1)
    word = _DIATONIC.search(text)
    if word:
        return NATURALS, word[0], _DIATONIC.sub(" ", text)
    word = _CHROMATIC.search(text)
    return frozenset(range(12)), word[0] if word else "", _CHROMATIC.sub(" ", text)


def _between(low: str, high: str, allowed: frozenset[int]) -> list[int]:
    first, last = note_number(low), note_number(high)
    if last < first:
        raise RequestError("Notes in the wrong order", f"{low}-{high} goes down", f"try {high}-{low}")
    return [midi for midi in range(first, last + 1) if midi % 12 in allowed]


def _counted(low: int, high: int, allowed: frozenset[int]) -> list[int]:
    """MIDI numbers of a range such as 48-60."""
    if not 0 < low <= high < _MOST:
        raise RequestError("No such notes", f"{low}-{high} is not a range of MIDI numbers", f"write 48-60: {_NUMBERED}")
    return [midi for midi in range(low, high + 1) if midi % 12 in allowed]


def _midi_number(word: str, a4: float) -> float:
    if re.fullmatch(r"\d{1,3}", word) and 0 < int(word) < _MOST:
        return hertz(int(word), a4)
    if re.fullmatch(r"\d+", word):
        raise RequestError(
            "No such note", f"{word} is not the MIDI number of a tube", f"{_NUMBERED}; a frequency needs Hz"
        )
    raise RequestError("No such note", f"{word!r} is not a note, MIDI number or frequency", _REMEDY)


def _once(frequencies: Iterable[float], a4: float) -> tuple[Wanted, ...]:
    """From low to high, each name once: two tubes less than a cent apart are one."""
    kept: dict[str, float] = {}
    for frequency in sorted(frequencies):
        kept.setdefault(pitch_name(frequency, a4), frequency)
    return tuple(Wanted(name, round(midi_of(value, a4)), value) for name, value in kept.items())


def _numbered(frequencies: Iterable[float], a4: float, flats: bool) -> tuple[Wanted, ...]:
    """From low to high; what comes again under a name is numbered from 2 on."""
    times: Counter[str] = Counter()
    notes = []
    for frequency in sorted(frequencies):
        name = pitch_name(frequency, a4, flats)
        times[name] += 1
        again = f" ({times[name]})" if times[name] > 1 else ""
        notes.append(Wanted(name + again, round(midi_of(frequency, a4)), frequency))
    return tuple(notes)

"""The rhythm of one player in one bar, spelled as notation on one line.

What the composer wrote as one note stays one note; everything else is split at the meter's groups and tied.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from math import lcm
from typing import NamedTuple

from score.beats import note_value
from score.parts.cue_pitches import WrittenPitch
from score.parts.cue_sounds import Sound
from score.piece import Bar

_ZERO = Fraction(0)
_SHORTEST = Fraction(1, 64)


class Sign(NamedTuple):
    """One note or rest as it is printed.

    Attributes:
        at, length: quarters in the bar.
        value: MusicXML note type.
        dots: how many.
        rest: it is a rest.
        tuplet: (actual, normal), or None.
        tie_in, tie_out: tied to the sign before, or to the next.
        roll, accent: as in `Sound`.
        bracket: "start", "stop" or "" of its tuplet.
        trill, graces, pitches: as in `Sound`.
        was_struck: it is held from a bar that the cue does not show.
        holds_on: it sounds on into a bar that the cue does not show.
        written: its note where the cue shows pitches, else None.
    """

    at: Fraction
    length: Fraction
    value: str
    dots: int = 0
    rest: bool = False
    tuplet: tuple[int, int] | None = None
    tie_in: bool = False
    tie_out: bool = False
    roll: int = 0
    accent: bool = False
    bracket: str = ""
    trill: bool = False
    graces: int = 0
    pitches: tuple[int, ...] = ()
    was_struck: bool = False
    holds_on: bool = False
    written: WrittenPitch | None = None


def spelled(row: Sequence[Sound], bar: Bar) -> list[Sign] | None:
    """A bar's sounds as printed signs that fill the bar exactly; None when no notation of ours can say it."""
    signs: list[Sign] = []
    at = _ZERO
    for sound in row:
        if sound.at > at:
            signs += _rests(at, sound.at, bar)
        signs += _note(sound, bar)
        at = sound.end
    if at < bar.length:
        signs += _rests(at, bar.length, bar)
    if any(not sign.value for sign in signs):
        return None
    return _bracketed(signs)


def divisions_of(signs: Sequence[Sign]) -> int:
    """The fewest divisions of a quarter in which all these lengths are whole numbers."""
    return lcm(1, *(value.denominator for sign in signs for value in (sign.at, sign.length)))


def _note(sound: Sound, bar: Bar) -> list[Sign]:
    length = sound.end - sound.at
    sign = _sign(sound.at, length, sound.tuplet)
    pieces = [sign] if sound.whole and sign.value else _split(sound.at, sound.end, bar)
    last = len(pieces) - 1
    return [
        piece._replace(
            roll=sound.roll,
            accent=sound.accent and index == 0,
            trill=sound.trill and index == 0,
            graces=sound.graces if index == 0 else 0,
            pitches=sound.pitches,
            tie_in=sound.held_in or index > 0,
            tie_out=sound.held_out or index < last,
        )
        for index, piece in enumerate(pieces)
    ]


def _rests(start: Fraction, end: Fraction, bar: Bar) -> list[Sign]:
    return [sign._replace(rest=True) for sign in _split(start, end, bar)]


def _split(start: Fraction, end: Fraction, bar: Bar) -> tuple[Sign, ...]:
    """Signs from start to end, cut at the groups they would hide."""
    return _pieces(start, end, _edges(bar.meter.groups, bar.length))


# The same few lengths stand at the same few places of most bars, and spelling one takes long.
@lru_cache(maxsize=4096)
def _pieces(start: Fraction, end: Fraction, edges: tuple[Fraction, ...]) -> tuple[Sign, ...]:
    pieces: list[Sign] = []
    at = start
    while at < end:
        sign = _largest(at, end, edges)
        pieces.append(sign)
        if not sign.value:
            break
        at += sign.length
    return tuple(pieces)


def _largest(at: Fraction, end: Fraction, edges: Sequence[Fraction]) -> Sign:
    limit = end if at in edges else min(end, next((edge for edge in edges if edge > at), end))
    whole = _sign(at, limit - at, None)
    if whole.value:
        return whole
    for edge in [edge for edge in reversed(edges) if at < edge < limit]:
        if (sign := _sign(at, edge - at, None)).value:
            return sign
    value = Fraction(4)
    while value >= _SHORTEST:
        if value <= limit - at and (at % value == 0 or value < 1):
            return _sign(at, value, None)
        value /= 2
    return Sign(at, limit - at, "")


@lru_cache(maxsize=256)
def _edges(groups: tuple[Fraction, ...], length: Fraction) -> tuple[Fraction, ...]:
    return tuple(edge for edge in accumulate(groups, initial=_ZERO) if edge <= length) or (_ZERO,)


@lru_cache(maxsize=4096)
def _sign(at: Fraction, length: Fraction, tuplet: tuple[int, int] | None) -> Sign:
    """One sign of this length; its value is "" where no single note value says it."""
    for ratio in _ratios(at, length, tuplet):
        full = length * ratio[0] / ratio[1] if ratio else length
        for dots in (0, 1, 2):
            value = note_value(full / (2 - Fraction(1, 2**dots)))
            if value and full >= _SHORTEST:
                return Sign(at, length, value, dots=dots, tuplet=ratio)
    return Sign(at, length, "")


def _ratios(at: Fraction, length: Fraction, tuplet: tuple[int, int] | None) -> Iterator[tuple[int, int] | None]:
    if tuplet is not None and tuplet[1] > 0 and 0 < tuplet[0] < 64:
        yield tuplet
    odd = lcm(length.denominator, at.denominator)
    while odd % 2 == 0:
        odd //= 2
    if odd == 1:
        yield None
    elif odd < 32:
        below = 1
        while below * 2 < odd:
            below *= 2
        yield odd, below


def _bracketed(signs: Sequence[Sign]) -> list[Sign]:
    """Brackets over runs of one tuplet, closed where the tuplet is full."""
    bracketed: list[Sign] = []
    filled, unit, start = _ZERO, _ZERO, -1
    for index, sign in enumerate(signs):
        follower = signs[index + 1] if index + 1 < len(signs) else None
        bracketed.append(sign)
        if sign.tuplet is None:
            continue
        if start < 0:
            start, filled, unit = index, _ZERO, Fraction(64)
        filled += sign.length
        unit = min(unit, sign.length * sign.tuplet[0] / sign.tuplet[1])
        is_full = filled % (unit * sign.tuplet[1]) == 0
        if is_full or follower is None or follower.tuplet != sign.tuplet:
            if index > start:
                bracketed[start] = bracketed[start]._replace(bracket="start")
                bracketed[index] = bracketed[index]._replace(bracket="stop")
            start = -1
    return bracketed

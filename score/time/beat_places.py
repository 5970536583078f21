"""Places named by bar and beat, as the group's file and players name them."""

from bisect import bisect_left, bisect_right
from fractions import Fraction
from itertools import pairwise

from score.beats import Place
from score.errors import RequestError
from score.piece import Bar, Piece
from score.places import bar_name, find_bar
from score.time.meter_beats import beats

_FINEST = 96
"""Parts of a beat that a decimal stands for at the finest: "2.33" is a third of a beat after the second."""


def beat_place(piece: Piece, bar: int, beat: float) -> Place:
    """The place of a beat by its number in the bar: 1 the first, 2.5 half a beat after the second.

    Raises:
        RequestError: the bar has no such beat.
    """
    edges = _edges(piece.bars[bar])
    number = int(beat)
    if not 1 <= number < len(edges):
        what = f"bar {bar_name(piece, bar)} has no beat {beat:g}"
        raise RequestError("No such beat", what, f"it has {len(edges) - 1}")
    before, after = edges[number - 1], edges[number]
    part = Fraction(beat - number).limit_denominator(_FINEST)
    return Place(bar, before + (after - before) * part)


def beat_number(piece: Piece, place: Place) -> float:
    """The number of a place's beat in its bar, 1 the first; between two beats in proportion."""
    edges = _edges(piece.bars[place.bar])
    for number, (before, after) in enumerate(pairwise(edges), start=1):
        if place.at < after:
            return round(number + float((place.at - before) / (after - before)), 3)
    return float(len(edges))


def beat_end(piece: Piece, bar: int, beat: int) -> Fraction:
    """Where a beat ends, quarters from the beginning of the piece.

    Raises:
        RequestError: the bar has no such beat.
    """
    beat_place(piece, bar, beat)
    return piece.bars[bar].start + _edges(piece.bars[bar])[beat]


def place_of(piece: Piece, offset: Fraction, *, before: bool = False) -> Place:
    """The place of an offset, quarters from the beginning of the piece.

    Args:
        piece: the piece.
        offset: from 0 to the piece's length.
        before: at a bar line the end of the bar before it, not the beginning of the next.
    """
    starts = [bar.start for bar in piece.bars]
    index = (bisect_left if before else bisect_right)(starts, offset) - 1
    bar = max(0, index)
    return Place(bar, offset - starts[bar])


def find_place(piece: Piece, text: str) -> Place:
    """The place of "61" (its first beat), "61:3" or "C:2.5".

    Raises:
        RequestError: no such bar or beat.
    """
    bar, _, beat = text.partition(":")
    try:
        number = float(beat) if beat.strip() else 1.0
    except ValueError:
        raise RequestError("No such beat", f"{text!r} names no beat", "write 61:3 for beat 3 of bar 61") from None
    return beat_place(piece, find_bar(piece, bar), number)


def find_span(piece: Piece, bars: range, beats_text: str) -> tuple[Fraction, Fraction]:
    """Quarters from the beginning of the piece to both ends of bars, or of beats in them.

    Args:
        piece: the piece.
        bars: the bars.
        beats_text: "3-2": from beat 3 of the first bar to the end of beat 2 of the last; "3" from beat 3 on; "" all.

    Raises:
        RequestError: no such beat, or the end comes before the beginning.
    """
    first, last = piece.bars[bars[0]], piece.bars[bars[-1]]
    start, end = first.start, last.start + last.length
    begin, dash, until = (part.strip() for part in beats_text.partition("-"))
    try:
        if begin:
            start = piece.offset(beat_place(piece, bars[0], float(begin)))
        if dash:
            end = beat_end(piece, bars[-1], int(until))
    except ValueError:
        raise RequestError("No such beats", f"{beats_text!r} names no beats", "write 3-2") from None
    if end <= start:
        raise RequestError("Beats in the wrong order", f"{beats_text!r} ends before it begins", "write 3-2")
    return start, end


def _edges(bar: Bar) -> list[Fraction]:
    """Where the beats of a bar begin, and its end."""
    starts = [beat.at for beat in beats(bar)] or [Fraction(0)]
    return [*starts, bar.length]

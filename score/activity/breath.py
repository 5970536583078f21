"""Where a group breathes in together: before entries made at one moment after a silence, a hold, or at the start."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from score.piece import MarkKind, Piece, StrokeKind
from score.time.meter_beats import beats
from score.time.route import Route

LEAST_SILENCE = Fraction(1)
"""Quarters in which nobody sounds."""


class Breath(NamedTuple):
    """An in-breath that leads into an entry.

    Attributes:
        entry: quarters from the beginning of the piece, in written order, to where it is entered.
        length: quarters, before it; the beat before it, as a rule.
        giver: number of the player who gives it, None for nobody in particular.
        seconds: how long it lasts at the written tempo; None as long as `length` at the coming tempo.
    """

    entry: Fraction
    length: Fraction
    giver: int | None = None
    seconds: float | None = None


def natural_breaths(piece: Piece, route: Route) -> Iterator[Breath]:
    """The breaths that offer themselves along a route, each a beat long, given by nobody in particular."""
    for offset, beat in breath_entries(piece, route):
        yield Breath(piece.offset(route.at(offset)[1]), beat)


def breath_entries(piece: Piece, route: Route) -> Iterator[tuple[Fraction, Fraction]]:
    """(offset on the route of the entry, length of the beat before it), quarters, in order.

    Two players or more strike together, and before that nobody sounded for a quarter or more, or a fermata or
    caesura was held in the bar before, or it is the beginning of the route.
    """
    onsets, sounding = _heard(piece, route)
    stops = {m.bar for p in piece.players for m in p.marks if m.kind in (MarkKind.FERMATA, MarkKind.CAESURA)}
    sounding.sort()
    heard_until, taken = Fraction(-4), 0
    first = min(onsets, default=Fraction(0))
    for offset in sorted(onsets):
        while taken < len(sounding) and sounding[taken][0] < offset:
            heard_until, taken = max(heard_until, sounding[taken][1]), taken + 1
        if len(onsets[offset]) > 1 or len(piece.players) == 1:
            visit, place = route.at(offset)
            after_stop = place.bar - 1 in stops and offset == visit.offset
            if offset - heard_until >= LEAST_SILENCE or after_stop or offset == first:
                yield offset, beat_before(piece, place.bar)


def _heard(piece: Piece, route: Route) -> tuple[dict[Fraction, set[int]], list[tuple[Fraction, Fraction]]]:
    onsets: dict[Fraction, set[int]] = {}
    sounding: list[tuple[Fraction, Fraction]] = []
    for player in piece.players:
        by_bar: dict[int, list[tuple[Fraction, Fraction]]] = {}
        for stroke in player.strokes:
            if stroke.kind is not StrokeKind.GRACE:
                by_bar.setdefault(stroke.bar, []).append((stroke.at, stroke.length))
        for visit in route.visits:
            shift = visit.offset - visit.start
            for at, length in by_bar.get(visit.bar, ()):
                if visit.start <= at < visit.end:
                    offset = shift + at
                    onsets.setdefault(offset, set()).add(player.number)
                    sounding.append((offset, offset + length))
    return onsets, sounding


def beat_before(piece: Piece, bar: int) -> Fraction:
    """Length of the beat that leads into a bar, quarters: at the coming tempo."""
    pulses = beats(piece.bars[bar])
    return pulses[1].at - pulses[0].at if len(pulses) > 1 else max(piece.bars[bar].meter.beat, Fraction(1, 2))

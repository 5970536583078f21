"""Where a group breathes in together: before entries made at one moment after a silence, a hold, or at the start."""

from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from score.beats import in_ticks
from score.piece import MarkKind, Piece, StrokeKind
from score.time.meter_beats import beats
from score.time.route import Route

LEAST_SILENCE = 1
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
    quarter = _ticks_of_a_quarter(piece, route)
    onsets, sounding = _heard(piece, route, quarter)
    stops = {m.bar for p in piece.players for m in p.marks if m.kind in (MarkKind.FERMATA, MarkKind.CAESURA)}
    visits = [in_ticks(visit.offset, quarter) for visit in route.visits]
    sounding.sort()
    heard_until, taken = -4 * quarter, 0
    first = min(onsets, default=0)
    for offset in sorted(onsets):
        while taken < len(sounding) and sounding[taken][0] < offset:
            heard_until, taken = max(heard_until, sounding[taken][1]), taken + 1
        if len(onsets[offset]) > 1 or len(piece.players) == 1:
            number = max(0, bisect_right(visits, offset) - 1)
            bar = route.visits[number].bar
            after_stop = bar - 1 in stops and offset == visits[number]
            if offset - heard_until >= LEAST_SILENCE * quarter or after_stop or offset == first:
                yield Fraction(offset, quarter), beat_before(piece, bar)


def _ticks_of_a_quarter(piece: Piece, route: Route) -> int:
    """So many that every place of the piece falls on one."""
    visited = {value.denominator for visit in route.visits for value in (visit.start, visit.end, visit.offset)}
    struck = {value.denominator for player in piece.players for s in player.strokes for value in (s.at, s.length)}
    return lcm(*visited, *struck)


def _heard(piece: Piece, route: Route, quarter: int) -> tuple[dict[int, set[int]], list[tuple[int, int]]]:
    """Who strikes when, and from when to when somebody sounds, in ticks on the route."""
    onsets: dict[int, set[int]] = {}
    sounding: list[tuple[int, int]] = []
    visits = [(v.bar, *(in_ticks(value, quarter) for value in (v.start, v.end, v.offset))) for v in route.visits]
    for player in piece.players:
        by_bar: dict[int, list[tuple[int, int]]] = {}
        for stroke in player.strokes:
            if stroke.kind is not StrokeKind.GRACE:
                span = in_ticks(stroke.at, quarter), in_ticks(stroke.length, quarter)
                by_bar.setdefault(stroke.bar, []).append(span)
        for bar, start, end, offset in visits:
            for at, length in by_bar.get(bar, ()):
                if start <= at < end:
                    onset = offset + at - start
                    onsets.setdefault(onset, set()).add(player.number)
                    sounding.append((onset, onset + length))
    return onsets, sounding


def beat_before(piece: Piece, bar: int) -> Fraction:
    """Length of the beat that leads into a bar, quarters: at the coming tempo."""
    pulses = beats(piece.bars[bar])
    return pulses[1].at - pulses[0].at if len(pulses) > 1 else max(piece.bars[bar].meter.beat, Fraction(1, 2))

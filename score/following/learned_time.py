"""A player's usual time over a passage, from where the strokes of earlier passes stand in the piece.

Passes are kept by written place, so that what was learned in a chunk counts in the whole piece too; each time through
a repeat learns for itself.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from math import exp
from typing import NamedTuple

from score.following.usual_time import TakeRates, UsualPoint, take_rates, usual_logs, usual_map
from score.piece import Piece
from score.playback.bent_timeline import SecondsMap
from score.playback.click_strikes import count_in
from score.time.pulse import Pulse, PulseOptions, route_tempo_map
from score.time.route import Route
from score.time.tempo_map import TempoMap

_STEP = Fraction(1, 2)
"""Quarters from one point of the map to the next at the most."""


class PlayedPlace(NamedTuple):
    """One moment of a player's, as it was played.

    Attributes:
        offset: quarters from the beginning of the piece, in written order.
        moment: real seconds.
        run: which run through the piece it belongs to: each goes forward without a jump.
    """

    offset: Fraction
    moment: float
    run: int = 0


def learned_time(
    piece: Piece, route: Route, pulse: PulseOptions, bars_counted_in: int, readings: Sequence[Sequence[PlayedPlace]]
) -> SecondsMap | None:
    """The map from the seconds of a route's timeline to the player's usual time, None where nothing was learned.

    Args:
        piece: the piece.
        route: what is to be played.
        pulse: the time in which its timeline is made.
        bars_counted_in: before it.
        readings: earlier passes, each in the order it was played.
    """
    written = _moving(piece, pulse)
    takes = _rates(written, readings)
    times = route_tempo_map(piece, route, pulse)
    lead = count_in(piece, route, times, bars_counted_in).seconds
    points = [UsualPoint(-1.0, -1.0)]
    turns: dict[int, int] = {}
    for visit in route.visits:
        turns[visit.bar] = turns.get(visit.bar, 0) + 1
        begin = piece.bars[visit.bar].start + visit.start
        count = max(1, -(-visit.length // _STEP))
        for number in range(count):
            passed = visit.length * number / count
            seconds = lead + times.seconds(visit.offset + passed)
            points.append(UsualPoint(seconds, written.seconds(begin + passed), turns[visit.bar]))
    points.append(points[-1]._replace(seconds=lead + times.seconds(route.length)))
    return usual_map(
        takes, [points[0], *(point for before, point in pairwise(points) if point.seconds > before.seconds)]
    )


def learned_tempo(
    piece: Piece, pulse: PulseOptions, start: Fraction, end: Fraction, readings: Sequence[Sequence[PlayedPlace]]
) -> tuple[tuple[Fraction, float], ...]:
    """The usual tempo from one place to another as a share of the written one; empty where nothing was learned.

    Args:
        piece: the piece.
        pulse: the time it is measured against.
        start: quarters from the beginning of the piece.
        end: the same.
        readings: earlier passes.
    """
    written = _moving(piece, pulse)
    takes = _rates(written, readings)
    count = max(1, -(-(end - start) // _STEP))
    places = [start + (end - start) * number / count for number in range(count + 1)]
    runs = [run for take in takes for run in take]
    covered = [place for place in places if any(run.at(written.seconds(place)) is not None for run in runs)]
    logs = usual_logs([[run] for run in runs], [UsualPoint(0.0, written.seconds(place)) for place in covered])
    return tuple((place, exp(-log)) for place, log in zip(covered, logs, strict=True))


def _moving(piece: Piece, pulse: PulseOptions) -> TempoMap:
    """Written time without what is held: a hold is no tempo."""
    return TempoMap(Pulse(piece, pulse).stretches(Fraction(0), piece.length))


def _rates(written: TempoMap, readings: Sequence[Sequence[PlayedPlace]]) -> list[list[TakeRates]]:
    """The rates of every reading, run by run: each goes forward through the piece."""
    takes = []
    for reading in readings:
        runs = groupby(reading, key=lambda place: place.run)
        played = [[(written.seconds(place.offset), place.moment) for place in run] for _, run in runs]
        take = [rates for run in played if (rates := take_rates(run)) is not None]
        if take:
            takes.append(take)
    return takes

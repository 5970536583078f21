"""A route through the piece in a recording: which time each bar is taken from, and the second of each beat."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from statistics import median
from typing import NamedTuple

from score.errors import RequestError
from score.piece import Piece
from score.places import bar_name
from score.recording.heard_bars import HeardBar, HeardRecording
from score.time.meter_beats import beats
from score.time.route import Route, Visit
from score.time.tempo_map import Stretch, TempoMap

_NEAR = 0.35
"""Share of a beat by which an attack may lie beside the even beat to be taken for it."""
_SHORTEST, _FIRST = 0.02, 8
_JOIN = 3.0
"""What a join costs; a bar that is not sure at all costs 1."""
_LATER = 1e-7
_BREAK = 0.5
"""Seconds between two bars from which on they were not played in one go."""


class HeardBeat(NamedTuple):
    """A beat of a route as it was played.

    Attributes:
        offset: quarters from the beginning of the route.
        quarters: to the next one.
        start, end: seconds in the recording.
    """

    offset: Fraction
    quarters: Fraction
    start: float
    end: float

    @property
    def speed(self) -> float:
        """Quarters a second."""
        return float(self.quarters) / max(_SHORTEST, self.end - self.start)


def route_beats(piece: Piece, heard: HeardRecording, route: Route) -> tuple[HeardBeat, ...]:
    """Every beat of a route in a recording, in order.

    Raises:
        RequestError: a bar of the route was not played in the recording.
    """
    onsets: dict[tuple[int, int], list[tuple[Fraction, float]]] = {}
    for onset in heard.onsets:
        onsets.setdefault((onset.bar, onset.turn), []).append((onset.at, onset.seconds))
    chosen = _chosen(piece, heard, route)
    return tuple(
        beat
        for visit, bar in zip(route.visits, chosen, strict=True)
        for beat in _bar_beats(piece, visit, bar, onsets.get((bar.bar, bar.turn), []))
    )


def recorded_times(beats: tuple[HeardBeat, ...], tempo: float) -> TempoMap:
    """Seconds of a route in the recording's own time, at a share of its tempo."""
    return TempoMap(
        [Stretch(beat.offset, beat.offset + beat.quarters, beat.speed * tempo, v1=beat.speed * tempo) for beat in beats]
    )


def counted_tempo(beats: Sequence[HeardBeat]) -> float:
    """Quarters a minute in which a route begins, for whoever counts in: the middle one of its first beats."""
    return 60 * median(beat.speed for beat in beats[:_FIRST])


def doubtful_bars(piece: Piece, heard: HeardRecording, route: Route) -> frozenset[int]:
    """Indices of the bars of a route that are in doubt where they are taken from.

    Raises:
        RequestError: a bar of the route was not played in the recording.
    """
    return frozenset(bar.bar for bar in _chosen(piece, heard, route) if bar.doubt)


def _chosen(piece: Piece, heard: HeardRecording, route: Route) -> list[HeardBar]:
    """A heard bar for each visit: with as few joins as can be, of sure bars, and of equal ones the last."""
    places: dict[int, list[int]] = {}
    for place, bar in enumerate(heard.bars):
        places.setdefault(bar.bar, []).append(place)
    ways: dict[int, tuple[float, tuple[int, ...]]] = {-1: (0.0, ())}
    for visit in route.visits:
        if visit.bar not in places:
            name = bar_name(piece, visit.bar)
            raise RequestError("Not in the recording", f"bar {name} was not played there", "choose bars that were")
        joined = min(ways.values())
        further = {}
        for place in places[visit.bar]:
            doubt = 1 - heard.bars[place].sure - _LATER * place
            price, way = min(
                (joined[0] + (_JOIN if joined[1] else 0.0), joined[1]),
                ways[place - 1] if place - 1 in ways and _goes_on(heard, place) else (float("inf"), ()),
            )
            further[place] = price + doubt, (*way, place)
        ways = further
    return [heard.bars[place] for place in min(ways.values())[1]]


def _goes_on(heard: HeardRecording, place: int) -> bool:
    """Whether a bar follows the one before it without a break."""
    return place > 0 and heard.bars[place].start - heard.bars[place - 1].end < _BREAK


def _bar_beats(piece: Piece, visit: Visit, bar: HeardBar, onsets: list[tuple[Fraction, float]]) -> Iterator[HeardBeat]:
    length = piece.bars[bar.bar].length
    places = sorted({visit.start, *(b.at for b in beats(piece.bars[bar.bar]) if visit.start < b.at < visit.end)})
    edges = [*places, visit.end]
    seconds = [_second(bar, length, onsets, place) for place in edges]
    for index, place in enumerate(places):
        end = max(seconds[index + 1], seconds[index] + _SHORTEST)
        yield HeardBeat(visit.offset + place - visit.start, edges[index + 1] - place, seconds[index], end=end)


def _second(bar: HeardBar, length: Fraction, onsets: list[tuple[Fraction, float]], place: Fraction) -> float:
    """Of a place in a heard bar: its own attack where one lies near, else even between the bar's ends."""
    even = bar.start + float(place / length) * (bar.end - bar.start)
    index = bisect_left(onsets, (place, 0.0))
    if 0 < place < length and index < len(onsets) and onsets[index][0] == place:
        beat = (bar.end - bar.start) / max(1.0, float(length))
        if abs(onsets[index][1] - even) < _NEAR * beat:
            return onsets[index][1]
    return even

"""What a try does to time: options with it, the seconds it costs, the tempo over its bars, its table in the file."""

import math
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from score.beats import Place
from score.errors import RequestError
from score.piece import Piece
from score.places import bar_name, bars_name
from score.time.beat_places import beat_number, place_of
from score.time.pulse import Pulse, PulseOptions, holds, tempo_map
from score.time.stops import stop_bar, written_stops
from score.time.tempo_map import Hold
from score.time.tries import Try, Word


def bent(piece: Piece, pulse: PulseOptions, trial: Try) -> PulseOptions:
    """The options of time with a try over what the group has.

    Args:
        piece: the piece.
        pulse: what the group has; a hold of its own at the same place gives way.
        trial: the try.

    Raises:
        RequestError: a wait before the first beat of all, or cut short where nothing is held.
    """
    if trial.shape is not None:
        return replace(pulse, shapes=(*pulse.shapes, trial.shape))
    if trial.word is None:
        return pulse
    hold = _hold(piece, pulse, trial)
    return replace(pulse, holds=(*(other for other in pulse.holds if other.offset != hold.offset), hold))


def seconds_gained(piece: Piece, pulse: PulseOptions, trial: Try) -> float:
    """How many seconds the bars last longer with a try than without; below 0 they are shorter."""
    edges = max(Fraction(0), trial.start - Fraction(1, 1024)), trial.end
    lengths = []
    for options in (pulse, bent(piece, pulse, trial)):
        times = tempo_map(piece, options)
        lengths.append(times.seconds(edges[1]) - times.seconds(edges[0]))
    return lengths[1] - lengths[0]


def tempo_points(
    piece: Piece, pulse: PulseOptions, start: Fraction, end: Fraction
) -> tuple[tuple[Fraction, float], ...]:
    """(quarters from the beginning of the piece, quarters a minute) wherever the tempo turns, both ends included.

    Two points at one place are a jump.
    """
    points: list[tuple[Fraction, float]] = []
    for stretch in Pulse(piece, pulse).stretches(start, end):
        for at in (stretch.start, stretch.end):
            point = at, 60 * stretch.speed(float(at - stretch.start))
            if not points or points[-1][0] != at or abs(points[-1][1] - point[1]) > 1e-6:
                points.append(point)
    return tuple(points)


def group_entry(piece: Piece, pulse: PulseOptions, trial: Try) -> tuple[str, Mapping[str, object]]:
    """The table of the group's file and its fields that say a try; state, player and id are for whoever adds them.

    Raises:
        RequestError: as `bent`, or nothing is tried.
    """
    named: dict[str, object] = {"name": trial.name} if trial.name else {}
    if trial.shape is not None:
        return "shape", _shape_fields(piece, trial) | named
    if trial.word is None:
        raise RequestError("Nothing tried", "it is played as written", "try something first")
    hold = _hold(piece, pulse, trial)
    stop = next((stop for stop in written_stops(piece) if stop.end == hold.offset), None)
    if stop is None or hold.before:
        kind, place = "wait", place_of(piece, hold.offset)
    else:
        bar = stop_bar(piece, stop)
        kind, place = "short", Place(bar, max(stop.start - piece.bars[bar].start, Fraction(0)))
    return "hold", {**_where(piece, place), "kind": kind, "seconds": round(hold.seconds, 3)}


def _where(piece: Piece, place: Place) -> dict[str, object]:
    return {"bar": bar_name(piece, place.bar), "beat": beat_number(piece, place)}


def _shape_fields(piece: Piece, trial: Try) -> dict[str, object]:
    first, last = place_of(piece, trial.start), place_of(piece, trial.end, before=True)
    bars = range(first.bar, last.bar + 1)
    begin, end = piece.bars[bars[0]], piece.bars[bars[-1]]
    fields: dict[str, object] = {"bars": bars_name(piece, bars)}
    if (trial.start, trial.end) != (begin.start, end.start + end.length):
        fields["beats"] = f"{beat_number(piece, first):g}-{math.ceil(beat_number(piece, last)) - 1}"
    fields |= {"kind": str(trial.kind), "percent": trial.amount, "curve": trial.curve}
    if trial.top is not None:
        top = place_of(piece, trial.top)
        fields["top"] = f"{bar_name(piece, top.bar)}:{beat_number(piece, top):g}"
    return fields


def _hold(piece: Piece, pulse: PulseOptions, trial: Try) -> Hold:
    if trial.word is Word.WAIT:
        if trial.start == 0:
            raise RequestError("Nothing to wait for", "this is the very first beat", "wait before a later one")
        return Hold(trial.start, trial.amount, before=all(stop.end != trial.start for stop in written_stops(piece)))
    plain = replace(pulse, scale=1.0)
    stops = [hold for hold in holds(piece, Pulse(piece, plain)) if trial.start < hold.offset <= trial.end]
    if not stops:
        raise RequestError("No wait here", "nothing is held in these bars", "choose bars with a fermata or a wait")
    return stops[-1]._replace(seconds=stops[-1].seconds * (1 - trial.amount / 100))

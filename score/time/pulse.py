"""The tempo of a piece as the group plays it: marks, gradual changes, holds and shapes, in written order."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from score.beats import Place
from score.piece import Piece, Tempo, TempoChange
from score.time.blends import blended
from score.time.route import Route
from score.time.shapes import Shape
from score.time.stops import Stop, stop_bar, written_stops
from score.time.tempo_map import CHANGE_CURVE, Hold, Stretch, TempoMap, Timed

# Common practice, no source: how far a written change goes when no tempo says so, and how long a fermata
# and a caesura are held.
RIT_TO, ACCEL_TO = 0.65, 1.25
FERMATA_TIMES, FERMATA_LONGEST_SECONDS = 1.0, 4.0
CAESURA_BEATS = 1.0
USUAL_QUARTERS_PER_MINUTE = 100.0


@dataclass(frozen=True, slots=True)
class PulseOptions:
    """What the group or the player chooses of the time.

    Attributes:
        scale: practice tempo as a factor of the written one.
        steady: quarters a minute that replace every mark, change, hold and shape; None to follow the score.
        within_range: where in a printed range ("60-72") the tempo is taken: 0 its low end, 1 its high end.
        shapes: the group's shapes of tempo; where they overlap they multiply.
        holds: where the group waits and how long at the written tempo, quarters of the piece in written order: its own
            length of a fermata or caesura that ends there, 0 to pass over it, or a wait before what begins there. Where
            what is held runs into what is waited for, the wait alone counts.
    """

    scale: float = 1.0
    steady: float | None = None
    within_range: float = 0.5
    shapes: tuple[Shape, ...] = ()
    holds: tuple[Hold, ...] = ()


class Pulse:
    """Speed at every place of a piece in written order.

    Args:
        piece: the piece.
        options: what is chosen of the time.
    """

    def __init__(self, piece: Piece, options: PulseOptions | None = None) -> None:
        self.piece, self.options = piece, options or PulseOptions()
        self._marks = [(min(piece.offset(tempo.place), piece.length), self._chosen(tempo)) for tempo in piece.tempi]
        self._mark_offsets = [offset for offset, _ in self._marks]
        self._changes = [self._change(start, end, change) for start, end, change in _usable(piece)]
        self._change_starts = [change.start for change in self._changes]
        self._bends = [] if self._is_steady else [curve for shape in self.options.shapes for curve in shape.curves]
        self._cuts = self._all_cuts()

    def stretches(self, start: Fraction, end: Fraction) -> list[Timed]:
        """The tempo from one offset to a later one, quarters in written order, as stretches."""
        inside = self._cuts[bisect_right(self._cuts, start) : bisect_right(self._cuts, end)]
        edges = sorted({start, *(cut for cut in inside if cut < end), end})
        return [stretch for a, b in pairwise(edges) for stretch in self._between(a, b)]

    def _between(self, start: Fraction, end: Fraction) -> Iterable[Timed]:
        """The tempo from one cut to the next: one curve in closed form, more than one blended."""
        change = None if self._is_steady else self._around(start, end)
        bends = [bend for bend in self._bends if bend.start <= start and end <= bend.end]
        if change is None:
            level = self._level(start) * self.options.scale
            if not bends:
                return [Stretch(start, end, level, v1=level)]
            bends[0] = bends[0].times(level)
        else:
            bends = [change.times(self.options.scale), *bends]
        return [bends[0].part(start, end)] if len(bends) == 1 else blended(start, end, bends)

    @property
    def _is_steady(self) -> bool:
        return self.options.steady is not None

    def _chosen(self, tempo: Tempo) -> float:
        if tempo.high > tempo.low:
            return tempo.low + (tempo.high - tempo.low) * self.options.within_range
        return tempo.quarters_per_minute

    def _level(self, offset: Fraction) -> float:
        """Speed of the last mark at or before an offset, quarters a second."""
        if self.options.steady is not None:
            return self.options.steady / 60
        index = bisect_right(self._mark_offsets, offset) - 1
        return (self._marks[index][1] if index >= 0 else USUAL_QUARTERS_PER_MINUTE) / 60

    def _change(self, start: Fraction, end: Fraction, change: TempoChange) -> Stretch:
        """A gradual change; it arrives at the tempo printed at its end where that lies in its direction."""
        now, then = self._level(start), self._level(end)
        if change.kind == "accel":
            goal = then if then > now else now * ACCEL_TO
        else:
            goal = then if then < now else now * RIT_TO
        return Stretch(start, end, now, v1=goal, q=CHANGE_CURVE)

    def _around(self, start: Fraction, end: Fraction) -> Stretch | None:
        index = bisect_right(self._change_starts, start) - 1
        if index >= 0 and end <= self._changes[index].end:
            return self._changes[index]
        return None

    def _all_cuts(self) -> list[Fraction]:
        cuts = set(self._mark_offsets)
        cuts.update(offset for change in self._changes for offset in (change.start, change.end))
        cuts.update(offset for bend in self._bends for offset in (bend.start, bend.end))
        return sorted(cuts)


def tempo_map(piece: Piece, options: PulseOptions | None = None) -> TempoMap:
    """Seconds of every offset of a piece in written order."""
    pulse = Pulse(piece, options)
    at_once = {hold.offset: hold for hold in holds(piece, pulse)}
    return TempoMap(pulse.stretches(Fraction(0), piece.length), tuple(at_once.values()))


def route_tempo_map(piece: Piece, route: Route, options: PulseOptions | None = None) -> TempoMap:
    """Seconds of every offset of a route, quarters from the route's beginning as performed."""
    pulse = Pulse(piece, options)
    written_holds = holds(piece, pulse)
    stretches: list[Timed] = []
    performed: dict[Fraction, float] = {}
    for visit in route.visits:
        begin = piece.offset(Place(visit.bar, visit.start))
        shift = visit.offset - begin
        stretches += [part.moved(shift) for part in pulse.stretches(begin, begin + visit.length)]
        for hold in written_holds:
            reached = hold.offset - begin
            if (0 <= reached < visit.length) if hold.before else (0 < reached <= visit.length):
                performed[hold.offset + shift] = hold.seconds
    # Nothing is played before the route's beginning that could wait.
    return TempoMap(stretches, [Hold(offset, performed[offset]) for offset in sorted(performed) if offset > 0])


def wait_before(piece: Piece, route: Route, options: PulseOptions | None = None) -> float:
    """Seconds of the wait before a route's first beat: made where it is reached from another, as a loop reaches it."""
    first = route.visits[0]
    begin = piece.bars[first.bar].start + first.start
    waits = (hold.seconds for hold in holds(piece, Pulse(piece, options)) if hold.before and hold.offset == begin)
    return next(waits, 0.0)


def holds(piece: Piece, pulse: Pulse) -> list[Hold]:
    """Every place where the music stands still, as long as the group holds it; a wait behind what is held there."""
    if pulse.options.steady is not None:
        return []
    bare = TempoMap(pulse.stretches(Fraction(0), piece.length))
    scale = pulse.options.scale
    lengths = {(stop.end, False): _usual_seconds(piece, stop, bare, scale) for stop in written_stops(piece)}
    lengths |= {(hold.offset, hold.before): hold.seconds / scale for hold in pulse.options.holds}
    return [
        Hold(offset, seconds, before)
        for (offset, before), seconds in sorted(lengths.items())
        if seconds > 0 or (before and (offset, False) in lengths)
    ]


def _usual_seconds(piece: Piece, stop: Stop, bare: TempoMap, scale: float) -> float:
    """How long a stop is held beyond what is written where the group says nothing."""
    held = FERMATA_TIMES * (bare.seconds(stop.end) - bare.seconds(stop.start))
    seconds = min(held, FERMATA_LONGEST_SECONDS / scale)
    if not stop.breaks_off:
        return seconds
    beat = float(piece.bars[stop_bar(piece, stop)].meter.beat)
    return max(seconds, CAESURA_BEATS * beat * 60 / bare.quarters_per_minute(stop.end))


def _usable(piece: Piece) -> list[tuple[Fraction, Fraction, TempoChange]]:
    """Gradual changes that have an extent, cut so that none runs into the next."""
    spans: list[tuple[Fraction, Fraction, TempoChange]] = []
    reached = Fraction(-1)
    for change in piece.tempo_changes:
        start = max(piece.offset(change.start), reached)
        end = min(piece.offset(change.end), piece.length)
        if start < end:
            spans.append((start, end, change))
            reached = end
    return spans

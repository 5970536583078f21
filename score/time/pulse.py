"""The tempo of a piece as the group plays it: marks, gradual changes, holds and shapes, in written order."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from score.beats import Place
from score.piece import MarkKind, Piece, Player, Tempo, TempoChange
from score.time.route import Route
from score.time.shapes import Shape, factor
from score.time.tempo_map import CHANGE_CURVE, Hold, Stretch, TempoMap

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
        shapes: the group's shapes of tempo.
        holds: bar index to seconds: the group's own length of a fermata or caesura in that bar.
    """

    scale: float = 1.0
    steady: float | None = None
    within_range: float = 0.5
    shapes: tuple[Shape, ...] = ()
    holds: tuple[tuple[int, float], ...] = ()


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
        self._cuts = self._all_cuts()

    def stretches(self, start: Fraction, end: Fraction) -> list[Stretch]:
        """The tempo from one offset to a later one, quarters in written order, as stretches."""
        inside = self._cuts[bisect_right(self._cuts, start) : bisect_right(self._cuts, end)]
        edges = sorted({start, *(cut for cut in inside if cut < end), end})
        return [self._stretch(a, b) for a, b in pairwise(edges)]

    def _stretch(self, start: Fraction, end: Fraction) -> Stretch:
        change = None if self._is_steady else self._around(start, end)
        if change is None:
            base0 = base1 = self._level(start)
        else:
            base0, base1 = (change.speed(float(offset - change.start)) for offset in (start, end))
        shapes = () if self._is_steady else self.options.shapes
        scale = self.options.scale
        v0 = base0 * scale * factor(shapes, start)
        v1 = base1 * scale * factor(shapes, end, before=True)
        return Stretch(start, end, v0, v1=v1, q=change.q if change else _curve(shapes, start))

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
        cuts.update(offset for shape in self.options.shapes for offset, _ in shape.corners)
        return sorted(cuts)


def tempo_map(piece: Piece, options: PulseOptions | None = None) -> TempoMap:
    """Seconds of every offset of a piece in written order."""
    pulse = Pulse(piece, options)
    return TempoMap(pulse.stretches(Fraction(0), piece.length), holds(piece, pulse))


def route_tempo_map(piece: Piece, route: Route, options: PulseOptions | None = None) -> TempoMap:
    """Seconds of every offset of a route, quarters from the route's beginning as performed."""
    pulse = Pulse(piece, options)
    written_holds = holds(piece, pulse)
    stretches: list[Stretch] = []
    performed: dict[Fraction, float] = {}
    for visit in route.visits:
        begin = piece.offset(Place(visit.bar, visit.start))
        shift = visit.offset - begin
        for part in pulse.stretches(begin, begin + visit.length):
            stretches.append(Stretch(part.start + shift, part.end + shift, part.v0, v1=part.v1, q=part.q))
        for hold in written_holds:
            if begin < hold.offset <= begin + visit.length:
                performed[hold.offset + shift] = hold.seconds
    return TempoMap(stretches, [Hold(offset, performed[offset]) for offset in sorted(performed)])


def holds(piece: Piece, pulse: Pulse) -> list[Hold]:
    """Fermatas and caesuras: one hold a bar, where the longest of the notes held together ends."""
    if pulse.options.steady is not None:
        return []
    bare = TempoMap(pulse.stretches(Fraction(0), piece.length))
    stops: dict[Fraction, float] = {}
    for player in piece.players:
        for mark in player.marks:
            if mark.kind is MarkKind.FERMATA:
                start, end = _held_note(piece, player, Place(mark.bar, mark.at))
                extra = FERMATA_TIMES * (bare.seconds(end) - bare.seconds(start))
                stops[end] = max(stops.get(end, 0.0), min(extra, FERMATA_LONGEST_SECONDS / pulse.options.scale))
            elif mark.kind is MarkKind.CAESURA:
                offset = piece.offset(Place(mark.bar, mark.at))
                beat = float(piece.bars[mark.bar].meter.beat)
                seconds = CAESURA_BEATS * beat * 60 / bare.quarters_per_minute(offset)
                stops[offset] = max(stops.get(offset, 0.0), seconds)
    return _one_a_bar(piece, stops, dict(pulse.options.holds))


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


def _curve(shapes: Sequence[Shape], offset: Fraction) -> float:
    return next((shape.curve for shape in shapes if shape.start <= offset < shape.end), CHANGE_CURVE)


def _held_note(piece: Piece, player: Player, place: Place) -> tuple[Fraction, Fraction]:
    offset = piece.offset(place)
    for stroke in player.strokes:
        if stroke.bar <= place.bar <= stroke.last_bar:
            start = piece.offset(stroke.place)
            if start <= offset < start + stroke.length:
                return start, start + stroke.length
    return offset, min(offset + piece.bars[place.bar].meter.beat, piece.length)


def _one_a_bar(piece: Piece, stops: dict[Fraction, float], chosen: dict[int, float]) -> list[Hold]:
    starts = [bar.start for bar in piece.bars]
    last: dict[int, Hold] = {}
    for offset in sorted(stops):
        # A hold that ends with its bar belongs to that bar, not to the next one.
        bar = bisect_right(starts, max(Fraction(0), offset - Fraction(1, 1000))) - 1
        last[bar] = Hold(offset, chosen.get(bar, stops[offset]))
    return sorted(last.values(), key=lambda hold: hold.offset)

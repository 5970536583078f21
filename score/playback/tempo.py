"""From exact quarters to seconds and back, in closed form.

The tempo is a chain of stretches over the written order. Inside a stretch of N quarters the speed runs
from v0 to v1 = w·v0 as v(x) = v0·(1 + (w^q − 1)·x)^(1/q), x from 0 to 1: q = 1 is linear in quarters,
q = 2 linear in time, q = 3 holds the tempo longer and lets go late, as ritardandi are played.
Source of the form: Friberg & Sundberg, J. Acoust. Soc. Am. 105 (1999). Its integral is closed:
t(x) = N/v0 · q/((q−1)(w^q−1)) · ((1 + (w^q−1)x)^((q−1)/q) − 1), and N/v0 · ln(w)/(w−1) at q = 1, x = 1.

Holds (fermatas, caesuras) add seconds at one place without moving on in the score.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from score.beats import Place
from score.piece import MarkKind, Piece, Player, Tempo, TempoChange

# Common practice, no source: how far a written change goes when no tempo says so, how a fermata and a
# caesura are held.
RIT_TO, ACCEL_TO = 0.65, 1.25
CHANGE_CURVE = 3.0
FERMATA_TIMES, FERMATA_LONGEST_SECONDS = 1.0, 4.0
CAESURA_BEATS = 1.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of quarters over which the tempo is constant or follows one curve.

    Attributes:
        start, end: quarters from the beginning of the piece.
        v0, v1: speed at both ends, quarters a second.
        q: the curve's exponent, at least 1; without meaning when v0 equals v1.
    """

    start: Fraction
    end: Fraction
    v0: float
    v1: float
    q: float = CHANGE_CURVE

    def seconds(self, quarters: float) -> float:
        """Seconds from the stretch's start to so many quarters after it."""
        total = float(self.end - self.start)
        if self._is_level or total == 0:
            return quarters / self.v0
        grow = self._grow
        inner = 1 + grow * quarters / total
        if self.q == 1:
            return total / self.v0 * math.log(inner) / grow
        return total / self.v0 * self.q / ((self.q - 1) * grow) * (math.pow(inner, (self.q - 1) / self.q) - 1)

    def quarters(self, seconds: float) -> float:
        """The inverse of `seconds`."""
        total = float(self.end - self.start)
        if self._is_level or total == 0:
            return seconds * self.v0
        grow = self._grow
        if self.q == 1:
            return total * (math.exp(seconds * self.v0 / total * grow) - 1) / grow
        power = 1 + seconds * self.v0 / total * (self.q - 1) * grow / self.q
        return total * (math.pow(power, self.q / (self.q - 1)) - 1) / grow

    def speed(self, quarters: float) -> float:
        """Quarters a second at so many quarters after the start."""
        total = float(self.end - self.start)
        if self._is_level or total == 0:
            return self.v0
        return self.v0 * math.pow(1 + self._grow * quarters / total, 1 / self.q)

    @property
    def _grow(self) -> float:
        return math.pow(self.v1 / self.v0, self.q) - 1

    @property
    def _is_level(self) -> bool:
        return math.isclose(self.v0, self.v1, rel_tol=1e-9)


@dataclass(frozen=True, slots=True)
class Hold:
    """Seconds spent at one offset (quarters from the beginning) before going on."""

    offset: Fraction
    seconds: float


class TempoMap:
    """Seconds of any place of a piece in written order.

    Args:
        stretches: without gaps, in order, the first starting at 0.
        holds: in order of their offsets, at most one an offset.
    """

    def __init__(self, stretches: Sequence[Stretch], holds: Sequence[Hold] = ()) -> None:
        self.stretches, self.holds = tuple(stretches), tuple(holds)
        self._starts = [stretch.start for stretch in self.stretches]
        self._base = [0.0]
        for stretch in self.stretches[:-1]:
            self._base.append(self._base[-1] + stretch.seconds(float(stretch.end - stretch.start)))
        self._hold_offsets = [hold.offset for hold in self.holds]
        self._held = [0.0]
        for hold in self.holds:
            self._held.append(self._held[-1] + hold.seconds)

    def seconds(self, offset: Fraction) -> float:
        """Seconds from the beginning to an offset in quarters; a hold at the offset is over."""
        index = max(0, bisect_right(self._starts, offset) - 1)
        stretch = self.stretches[index]
        moving = self._base[index] + stretch.seconds(float(offset - stretch.start))
        return moving + self._held[bisect_right(self._hold_offsets, offset)]

    def quarters(self, seconds: float) -> float:
        """The offset in quarters reached after so many seconds; stands still during a hold."""
        index = self._holds_begun(seconds)
        moving = seconds - self._held[index]
        if index and moving < self._moving(self.holds[index - 1].offset):
            return float(self.holds[index - 1].offset)
        place = max(0, bisect_right(self._base, moving) - 1)
        stretch = self.stretches[place]
        return float(stretch.start) + stretch.quarters(moving - self._base[place])

    def quarters_per_minute(self, offset: Fraction) -> float:
        """The tempo at an offset, quarters a minute."""
        stretch = self.stretches[max(0, bisect_right(self._starts, offset) - 1)]
        return 60 * stretch.speed(float(offset - stretch.start))

    def _moving(self, offset: Fraction) -> float:
        index = max(0, bisect_right(self._starts, offset) - 1)
        stretch = self.stretches[index]
        return self._base[index] + stretch.seconds(float(offset - stretch.start))

    def _holds_begun(self, seconds: float) -> int:
        begun = 0
        for index, hold in enumerate(self.holds):
            if self._moving(hold.offset) + self._held[index] > seconds:
                break
            begun = index + 1
        return begun


def tempo_map(piece: Piece) -> TempoMap:
    """The piece's own tempi, gradual changes, fermatas and caesuras, in written order."""
    return TempoMap(_stretches(piece), _holds(piece))


def seconds_between(piece: Piece, times: TempoMap, start: Place, end: Place) -> float:
    """Seconds from one place to a later one in written order."""
    return times.seconds(piece.offset(end)) - times.seconds(piece.offset(start))


def _stretches(piece: Piece) -> list[Stretch]:
    cuts = {Fraction(0), piece.length}
    tempi = [(min(piece.offset(tempo.place), piece.length), tempo) for tempo in piece.tempi]
    changes = _usable(piece)
    cuts.update(offset for offset, _ in tempi)
    cuts.update(offset for start, end, _ in changes for offset in (start, end))
    made: list[Stretch] = []
    for start, end in pairwise(sorted(cuts)):
        made.append(_stretch(start, end, tempi, changes))
    return made or [Stretch(Fraction(0), Fraction(1), _speed(tempi, Fraction(0)), _speed(tempi, Fraction(0)))]


def _usable(piece: Piece) -> list[tuple[Fraction, Fraction, TempoChange]]:
    spans = []
    reached = Fraction(-1)
    for change in piece.tempo_changes:
        start = max(piece.offset(change.start), reached)
        end = min(piece.offset(change.end), piece.length)
        if start < end:
            spans.append((start, end, change))
            reached = end
    return spans


def _stretch(
    start: Fraction,
    end: Fraction,
    tempi: list[tuple[Fraction, Tempo]],
    changes: list[tuple[Fraction, Fraction, TempoChange]],
) -> Stretch:
    around = next(((a, b, change) for a, b, change in changes if a <= start and end <= b), None)
    level = _speed(tempi, start)
    if around is None:
        return Stretch(start, end, level, level)
    a, b, change = around
    whole = Stretch(a, b, _speed(tempi, a), _goal(tempi, a, b, change))
    return Stretch(start, end, whole.speed(float(start - a)), whole.speed(float(end - a)))


def _goal(tempi: list[tuple[Fraction, Tempo]], start: Fraction, end: Fraction, change: TempoChange) -> float:
    """Speed a change arrives at: the tempo printed at its end where that lies in its direction."""
    now, then = _speed(tempi, start), _speed(tempi, end)
    if change.kind == "accel":
        return then if then > now else now * ACCEL_TO
    return then if then < now else now * RIT_TO


def _speed(tempi: list[tuple[Fraction, Tempo]], offset: Fraction) -> float:
    speed = tempi[0][1].quarters_per_minute if tempi else 100.0
    for start, tempo in tempi:
        if start > offset:
            break
        speed = tempo.quarters_per_minute
    return speed / 60


def _holds(piece: Piece) -> list[Hold]:
    """One hold a bar and kind: players who hold together hold once, until the longest note ends."""
    bare = TempoMap(_stretches(piece))
    found: dict[Fraction, float] = {}
    for player in piece.players:
        for mark in player.marks:
            if mark.kind is MarkKind.FERMATA:
                start, end = _held_note(piece, player, mark.bar, mark.at)
                extra = FERMATA_TIMES * (bare.seconds(end) - bare.seconds(start))
                found[end] = max(found.get(end, 0.0), min(extra, FERMATA_LONGEST_SECONDS))
            elif mark.kind is MarkKind.CAESURA:
                offset = piece.offset(Place(mark.bar, mark.at))
                beat = float(piece.bars[mark.bar].meter.beat)
                seconds = CAESURA_BEATS * beat * 60 / bare.quarters_per_minute(offset)
                found[offset] = max(found.get(offset, 0.0), seconds)
    return [Hold(offset, found[offset]) for offset in _one_a_bar(piece, sorted(found))]


def _held_note(piece: Piece, player: Player, bar: int, at: Fraction) -> tuple[Fraction, Fraction]:
    offset = piece.offset(Place(bar, at))
    for stroke in player.strokes:
        start = piece.offset(stroke.place)
        if start <= offset < start + stroke.length:
            return start, start + stroke.length
    return offset, offset + piece.bars[bar].meter.beat


def _one_a_bar(piece: Piece, offsets: list[Fraction]) -> list[Fraction]:
    starts = [bar.start for bar in piece.bars]
    last: dict[int, Fraction] = {}
    for offset in offsets:
        # A hold that ends with its bar belongs to that bar, not to the next one.
        last[bisect_right(starts, offset - Fraction(1, 1000))] = offset
    return sorted(last.values())

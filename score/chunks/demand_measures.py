"""What a run of bars asks, measured: one function a measure, each with its unit and the bar where it shows most."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from score.activity.who_moves import Activity
from score.chunks.cross_rhythm import cross_rhythms, interlocks
from score.chunks.offbeat import note_to_beat_distance, off_beat_share
from score.piece import Piece, Player, Stroke, StrokeKind
from score.time.meter_beats import beats
from score.time.tempo_map import TempoMap

PEAK_WINDOW = 2.0
"""Seconds over which the peak of strokes a second is taken."""
SILENCE, SUSTAINED = 1.0, 2.0
"""Seconds: of common silence before strokes that must come together; without a stroke while something is held."""


@dataclass(frozen=True, slots=True)
class DemandValue:
    """One figure.

    Attributes:
        value: in the measure's unit; 0 when there is nothing to measure.
        bar: index of the bar where it shows most.
        note: more to say in words, or "".
    """

    value: float
    bar: int
    note: str = ""


@dataclass(frozen=True)
class Scene:
    """A run of bars with what the measures look at.

    Attributes:
        piece: the piece.
        facts: what everybody does, bar by bar.
        times: seconds of every offset.
        carriers: row of the player with the tune, bar by bar, or None.
        sounding: when anybody sounds, as `sounding` gives it.
        bars: indices of the run.
    """

    piece: Piece
    facts: Activity
    times: TempoMap
    carriers: Sequence[int | None]
    sounding: Sequence[tuple[Fraction, Fraction]]
    bars: range

    @property
    def seconds(self) -> float:
        """How long the run lasts at the written tempo."""
        last = self.piece.bars[self.bars[-1]]
        return self.times.seconds(last.start + last.length) - self.times.seconds(self.piece.bars[self.bars[0]].start)

    def strokes(self, player: Player) -> list[Stroke]:
        """A player's strokes that begin in the run, grace strokes left out."""
        return [s for s in player.strokes if s.bar in self.bars and s.kind is not StrokeKind.GRACE]

    def onsets(self, row: int) -> list[tuple[int, Fraction]]:
        """(bar, offset in the piece) of a player's onsets in the run."""
        return [(b, self.piece.bars[b].start + at) for b in self.bars for at in self.facts.rows[row][b].onsets]


def mean_speed(scene: Scene, row: int) -> DemandValue:
    """Strokes a second over the run; the bar is the densest."""
    onsets = scene.onsets(row)
    densest = max(scene.bars, key=lambda b: len(scene.facts.rows[row][b].onsets))
    return DemandValue(len(onsets) / scene.seconds if scene.seconds > 0 else 0.0, densest)


def peak_speed(scene: Scene, row: int) -> DemandValue:
    """Most strokes in any two seconds, a second."""
    onsets = scene.onsets(row)
    seconds = [scene.times.seconds(at) for _, at in onsets]
    best = DemandValue(0.0, scene.bars[0])
    for index, ((bar, _), start) in enumerate(zip(onsets, seconds, strict=True)):
        count = bisect_left(seconds, start + PEAK_WINDOW) - index
        if count / PEAK_WINDOW > best.value:
            best = DemandValue(count / PEAK_WINDOW, bar)
    return best


def largest_leap(scene: Scene, row: int) -> DemandValue:
    """Largest distance in semitones between the middles of two strokes that follow each other within a second."""
    best = DemandValue(0.0, scene.bars[0])
    for stroke, following in pairwise(_pitched(scene, row)):
        leap = abs(_middle(following) - _middle(stroke))
        # How long it takes is only asked of one that would be the largest.
        if leap > best.value and _seconds(scene, following) - _seconds(scene, stroke) <= 1.0:
            best = DemandValue(leap, following.bar)
    return best


def travel(scene: Scene, row: int) -> DemandValue:
    """Semitones travelled along the bars a second, from the middle of one stroke to the middle of the next."""
    by_bar: dict[int, float] = {}
    for stroke, following in pairwise(_pitched(scene, row)):
        by_bar[following.bar] = by_bar.get(following.bar, 0.0) + abs(_middle(following) - _middle(stroke))
    if not by_bar or scene.seconds <= 0:
        return DemandValue(0.0, scene.bars[0])
    return DemandValue(sum(by_bar.values()) / scene.seconds, max(by_bar, key=lambda bar: by_bar[bar]))


def off_beat(scene: Scene, row: int) -> DemandValue:
    """Share of the strokes that stand on no beat."""
    shares = {b: off_beat_share(scene.facts.rows[row][b].onsets, _beats(scene, b)) for b in scene.bars}
    counts = {b: len(scene.facts.rows[row][b].onsets) for b in scene.bars}
    total = sum(counts.values())
    if not total:
        return DemandValue(0.0, scene.bars[0])
    worst = max(scene.bars, key=lambda b: shares[b] * counts[b])
    return DemandValue(sum(shares[b] * counts[b] for b in scene.bars) / total, worst)


def beat_distance(scene: Scene, row: int) -> DemandValue:
    """Weighted note-to-beat distance of the strokes."""
    onsets = [at for _, at in scene.onsets(row)]
    if not onsets:
        return DemandValue(0.0, scene.bars[0])
    pulse = [
        scene.piece.bars[b].start + at
        for b in range(scene.bars[0], min(scene.bars[-1] + 3, len(scene.piece.bars)))
        for at in _beats(scene, b)
    ]
    last = scene.piece.bars[scene.bars[-1]]
    value = note_to_beat_distance(onsets, pulse, last.start + last.length)
    return DemandValue(value, off_beat(scene, row).bar)


def crossing(scene: Scene) -> DemandValue:
    """Share of the bars in which two players divide the same span by numbers that do not go into each other."""
    crossed = [cross for b in scene.bars for cross in cross_rhythms(scene.piece.bars[b], _rows(scene, b))]
    if not crossed:
        return DemandValue(0.0, scene.bars[0])
    worst = max(crossed, key=lambda cross: (cross.ratio[0] * cross.ratio[1], cross.length))
    names = " and ".join(scene.piece.player(scene.facts.players[row]).short for row in worst.players)
    share = len({cross.bar for cross in crossed}) / len(scene.bars)
    return DemandValue(share, worst.bar, f"{worst.ratio[0]}:{worst.ratio[1]} between {names}")


def interlocking(scene: Scene) -> DemandValue:
    """Share of the bars in which two players fill each other's gaps."""
    locked = [lock for b in scene.bars for lock in interlocks(scene.piece.bars[b], _rows(scene, b))]
    if not locked:
        return DemandValue(0.0, scene.bars[0])
    worst = max(locked, key=lambda lock: lock.strokes)
    names = " and ".join(scene.piece.player(scene.facts.players[row]).short for row in worst.players)
    return DemandValue(len({lock.bar for lock in locked}) / len(scene.bars), worst.bar, f"{names} share one line")


def strike_together(scene: Scene) -> DemandValue:
    """How often two or more players strike at one moment after a second in which nobody sounds, or at the start."""
    together: dict[Fraction, int] = {}
    bars: dict[Fraction, int] = {}
    for row in range(len(scene.facts.rows)):
        for bar, at in scene.onsets(row):
            together[at] = together.get(at, 0) + 1
            bars[at] = bar
    ends = [end for _, end in scene.sounding]
    starts = {start for start, _ in scene.sounding}
    joint = [at for at in sorted(together) if together[at] > 1 and at in starts]
    firm = [at for at in joint if _silence_before(scene, at, ends) >= SILENCE]
    return DemandValue(float(len(firm)), bars[firm[0]] if firm else scene.bars[0])


def changes(scene: Scene) -> DemandValue:
    """Changes of tempo, meter, lead and printed dynamic inside the run."""
    counts = dict.fromkeys(scene.bars, 0)
    for old, new in pairwise(scene.bars):
        counts[new] += scene.piece.bars[old].meter != scene.piece.bars[new].meter
        before, after = scene.carriers[old], scene.carriers[new]
        counts[new] += before is not None and after is not None and before != after
    for tempo in scene.piece.tempi:
        if tempo.bar in counts and tempo.bar > scene.bars[0]:
            counts[tempo.bar] += 1
    for change in scene.piece.tempo_changes:
        if change.start.bar in counts:
            counts[change.start.bar] += 1
    for bar in {d.bar for p in scene.piece.players for d in p.dynamics if d.bar in counts and d.bar > scene.bars[0]}:
        counts[bar] += 1
    return DemandValue(float(sum(counts.values())), max(counts, key=lambda bar: counts[bar]))


def sustained(scene: Scene) -> DemandValue:
    """Share of the time in which nobody strikes for two seconds or more while something sounds on."""
    first, last = scene.piece.bars[scene.bars[0]].start, scene.piece.bars[scene.bars[-1]]
    onsets = sorted({at for row in range(len(scene.facts.rows)) for _, at in scene.onsets(row)})
    edges = [first, *onsets, last.start + last.length]
    total, longest = 0.0, (0.0, scene.bars[0])
    starts = [scene.piece.bars[b].start for b in scene.bars]
    for edge, following in pairwise(edges):
        gap = scene.times.seconds(following) - scene.times.seconds(edge)
        bar = scene.bars[max(0, bisect_right(starts, edge) - 1)]
        if gap >= SUSTAINED and any(row[bar].sounds for row in scene.facts.rows):
            total += gap
            longest = max(longest, (gap, bar), key=lambda pair: pair[0])
    return DemandValue(total / scene.seconds if scene.seconds > 0 else 0.0, longest[1])


def _rows(scene: Scene, bar: int) -> list[tuple[Fraction, ...]]:
    return [row[bar].onsets for row in scene.facts.rows]


def _beats(scene: Scene, bar: int) -> list[Fraction]:
    return [beat.at for beat in beats(scene.piece.bars[bar])] or [Fraction(0)]


def _pitched(scene: Scene, row: int) -> list[Stroke]:
    player = scene.piece.player(scene.facts.players[row])
    return [stroke for stroke in scene.strokes(player) if stroke.pitches]


def _middle(stroke: Stroke) -> float:
    return (stroke.pitches[0] + stroke.pitches[-1]) / 2


def _seconds(scene: Scene, stroke: Stroke) -> float:
    return scene.times.seconds(scene.piece.offset(stroke.place))


def _silence_before(scene: Scene, at: Fraction, ends: Sequence[Fraction]) -> float:
    """Seconds since the last sound ended; long enough at the very beginning."""
    index = bisect_left(ends, at) - 1
    if bisect_right(ends, at) - 1 > index:
        return 0.0  # something sounds right up to this moment
    return scene.times.seconds(at) - scene.times.seconds(ends[index]) if index >= 0 else SILENCE


def sounding(piece: Piece) -> list[tuple[Fraction, Fraction]]:
    """When anybody sounds: (start, end) in quarters, joined where they touch or overlap, ascending."""
    spans = sorted((piece.offset(s.place), piece.offset(s.place) + s.length) for p in piece.players for s in p.strokes)
    joined: list[tuple[Fraction, Fraction]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        else:
            joined.append((start, end))
    return joined

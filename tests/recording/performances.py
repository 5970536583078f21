"""Performances of a piece with every time told: tempo that breathes, fermatas, players apart, wrong and missed notes.

Seeds below 100 are for choosing thresholds, from 100 on for figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.piece import Piece, StrokeKind
from score.time.pulse import tempo_map

ROLL_STROKES_A_SECOND = 13.0
GRID = 0.05


class Played(NamedTuple):
    """A sound that is made.

    Attributes:
        seconds, length: when and for how long.
        instrument: key of the instrument, "" when unknown.
        pitch: MIDI number, None for strokes without.
        velocity: 1 to 127.
        player: number.
        place: written place of a stroke without pitch.
    """

    seconds: float
    length: float
    instrument: str
    pitch: int | None
    velocity: int
    player: int
    place: str = ""


class Moment(NamedTuple):
    """A written onset as it was really played: the mean of its notes."""

    visit: int
    bar: int
    at: Fraction
    seconds: float


class BarPlayed(NamedTuple):
    """A bar as it was passed once."""

    bar: int
    start: float
    end: float


@dataclass(frozen=True)
class Performance:
    """What was played, and the truth of it."""

    sounds: tuple[Played, ...]
    moments: tuple[Moment, ...]
    bars: tuple[BarPlayed, ...]

    @property
    def seconds(self) -> float:
        return self.bars[-1].end + 1.5


def perform(
    piece: Piece,
    seed: int,
    order: Sequence[int] | None = None,
    gaps: Sequence[tuple[int, float]] = (),
    strong: float = 1.0,
    apart: float = 0.021,
) -> Performance:
    """Play a piece.

    Args:
        piece: the piece.
        seed: of everything that is left to chance.
        order: bars as played, the playing order where None.
        gaps: (visit, seconds) of silence before it.
        strong: how much the tempo bends; 0 is a machine.
        apart: standard deviation of each player from the common time, seconds.
    """
    rng = np.random.default_rng(seed)
    bars = list(order if order is not None else piece.playing_order)
    time = _Time(piece, bars, rng, strong, gaps)
    loud = np.convolve(rng.normal(0, 1, len(bars) + 8), np.full(8, 0.35 / np.sqrt(8)), "same")
    sounds: list[Played] = []
    moments: list[Moment] = []
    for visit, bar in enumerate(bars):
        onsets: dict[Fraction, list[float]] = {}
        for player in piece.players:
            for stroke in (stroke for stroke in player.strokes if stroke.bar == bar):
                offset = time.offsets[visit] + float(stroke.at)
                late = rng.normal(0, apart)
                start = time.seconds(offset) + late
                if stroke.kind is StrokeKind.GRACE:
                    start -= 0.07
                else:
                    onsets.setdefault(stroke.at, [])
                if rng.random() < 0.01:
                    continue
                if stroke.kind is not StrokeKind.GRACE:
                    onsets[stroke.at].append(start)
                end = time.seconds(min(offset + float(stroke.length), time.offsets[-1]))
                velocity = int(np.clip(80 + 14 * loud[visit] + rng.normal(0, 6), 30, 120))
                key = player.instruments[stroke.instrument].key
                for begin, weight in _hits(start, end, stroke.kind is StrokeKind.ROLL, rng):
                    for pitch in stroke.pitches or (None,):
                        wrong = pitch is not None and rng.random() < 0.01
                        heard = pitch + int(rng.choice([-2, -1, 1, 2])) if wrong and pitch is not None else pitch
                        place = stroke.places[0] if stroke.places else ""
                        sounds.append(
                            Played(
                                begin,
                                max(0.08, end - begin),
                                key,
                                pitch=heard,
                                velocity=max(20, velocity - weight),
                                player=player.number,
                                place=place,
                            )
                        )
        moments += [Moment(visit, bar, at, seconds=float(np.mean(on))) for at, on in sorted(onsets.items()) if on]
    edges = [time.seconds(offset + 1e-9) for offset in time.offsets]
    passed = [
        BarPlayed(bar, edges[visit], time.seconds(time.offsets[visit + 1] - 1e-6)) for visit, bar in enumerate(bars)
    ]
    return Performance(tuple(sorted(sounds)), tuple(moments), tuple(passed))


def _hits(start: float, end: float, rolled: bool, rng: np.random.Generator) -> list[tuple[float, int]]:
    if not rolled or end - start < 0.15:
        return [(start, 0)]
    count = int((end - start - 0.05) * ROLL_STROKES_A_SECOND) + 1
    return [
        (start + i / ROLL_STROKES_A_SECOND + (rng.normal(0, 0.006) if i else 0.0), 12 if i else 0) for i in range(count)
    ]


class _Time:
    """Seconds of performed quarters."""

    def __init__(
        self, piece: Piece, bars: list[int], rng: np.random.Generator, strong: float, gaps: Sequence[tuple[int, float]]
    ) -> None:
        lengths = np.array([float(piece.bars[bar].length) for bar in bars])
        self.offsets = np.concatenate([[0.0], np.cumsum(lengths)])
        self.grid = np.arange(0, self.offsets[-1] + GRID, GRID)
        written = tempo_map(piece)
        visit = np.minimum(np.searchsorted(self.offsets, self.grid + 1e-9, "right") - 1, len(bars) - 1)
        place = [float(piece.bars[bars[v]].start) + q - self.offsets[v] for v, q in zip(visit, self.grid, strict=True)]
        speed = np.array([written.quarters_per_minute(Fraction(round(q * 1000), 1000)) for q in place])
        speed = speed * self._curve(len(bars), rng, strong) if strong else speed
        self.times = np.concatenate([[0.0], np.cumsum(GRID * 60 / speed)])[: len(self.grid)]
        self.gaps = [(self.offsets[number], seconds) for number, seconds in gaps]

    def seconds(self, offset: float) -> float:
        waited = sum(seconds for at, seconds in self.gaps if offset >= at - 1e-9)
        return float(np.interp(offset, self.grid, self.times)) + waited

    def _curve(self, count: int, rng: np.random.Generator, strong: float) -> NDArray[np.float64]:
        factor = np.ones_like(self.grid)
        start = 0
        while start < count:
            stop = min(count, start + int(rng.integers(4, 9)))
            inside, share = self._part(start, stop)
            factor[inside] *= 1 + strong * 0.15 * (2 * (1 - (2 * share - 1) ** 2) - 1) * rng.uniform(0.5, 1)
            start = stop
        walk = np.zeros(int(self.offsets[-1]) + 2)
        for index in range(1, len(walk)):
            walk[index] = 0.9 * walk[index - 1] + rng.normal(0, 0.02 * strong)
        factor *= np.exp(np.interp(self.grid, np.arange(len(walk)), walk))
        self._slow_down(factor, count - 3, count, 0.5)
        for at in (0.2, 0.5, 0.8):
            bar = min(max(int(count * at) + int(rng.integers(-2, 3)), 3), count - 1)
            self._slow_down(factor, bar - 2, bar, 0.6)
        for at, change in ((0.35, 1.25), (0.7, 0.8)):
            inside, _ = self._part(int(count * at), min(count, int(count * at) + max(4, count // 10)))
            factor[inside] *= change
        for at in (0.27, 0.55, 0.9):
            end = self.offsets[min(count - 1, max(1, int(count * at)))]
            factor[(self.grid >= end - 1) & (self.grid < end)] /= 3
        return factor

    def _part(self, start: int, stop: int) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
        begin, end = self.offsets[max(0, start)], self.offsets[stop]
        inside = (self.grid >= begin) & (self.grid < end)
        return inside, (self.grid[inside] - begin) / (end - begin)

    def _slow_down(self, factor: NDArray[np.float64], start: int, stop: int, to: float) -> None:
        inside, share = self._part(start, stop)
        factor[inside] *= (1 + (to**3 - 1) * share) ** (1 / 3)

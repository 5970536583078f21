"""How fast a recording goes, bar by bar, against what the score says.

A bar's tempo is the seconds the score gives it over the seconds it took. Players are some hundredths of a second apart,
so single bars are smoothed over three. Bars in doubt are left out, and those whose end is not heard: before a bar in
doubt, and at the end of a run, where whatever was struck last rings on.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import zip_longest
from typing import NamedTuple

import numpy as np

from score.piece import Piece
from score.recording.heard_bars import HeardBar, HeardRecording
from score.time.pulse import tempo_map
from score.time.route import Route
from score.time.tempo_map import Hold, Stretch, TempoMap

HELD = 1.6
"""A bar so many times as long as its neighbours is held."""
_SHORTEST = 0.02


class BarTempo(NamedTuple):
    """A bar's tempo.

    Attributes:
        bar: index of the bar.
        turn: which time it is played, from 1.
        seconds: at which it begins.
        written, played: quarters a minute, means over the bar.
        share: of the written tempo, smoothed over three bars; None where the bar or its end is in doubt.
    """

    bar: int
    turn: int
    seconds: float
    written: float
    played: float
    share: float | None

    @property
    def smooth(self) -> float | None:
        """Quarters a minute over three bars; None where the bar or its end is in doubt."""
        return None if self.share is None else self.share * self.written


def bar_tempi(piece: Piece, heard: HeardRecording) -> tuple[BarTempo, ...]:
    """The tempo of every bar that was played, in order."""
    times = tempo_map(piece)
    lengths = [
        times.seconds(bar.start + bar.length) - times.seconds(bar.start) if bar.length else 0.0 for bar in piece.bars
    ]
    raw = [_share(lengths[bar.bar], bar, after) for bar, after in zip_longest(heard.bars, heard.bars[1:])]
    smooth = [_smoothed(heard.bars, raw, index) for index in range(len(raw))]
    return tuple(
        BarTempo(
            bar.bar,
            bar.turn,
            bar.start,
            written=60 * float(piece.bars[bar.bar].length) / max(_SHORTEST, lengths[bar.bar]),
            played=60 * float(piece.bars[bar.bar].length) / max(_SHORTEST, bar.end - bar.start),
            share=smooth[index],
        )
        for index, bar in enumerate(heard.bars)
    )


def _share(written: float, bar: HeardBar, after: HeardBar | None) -> float | None:
    if bar.doubt or written <= 0 or after is None or after.doubt or (after.run, after.bar) != (bar.run, bar.bar + 1):
        return None
    return written / max(_SHORTEST, bar.end - bar.start)


def _smoothed(bars: Sequence[HeardBar], raw: Sequence[float | None], index: int) -> float | None:
    """The geometric mean of a bar, twice, and its neighbours of the same run."""
    if raw[index] is None:
        return None
    near = [
        (2 if other == index else 1, value)
        for other in range(max(0, index - 1), min(len(bars), index + 2))
        if (value := raw[other]) is not None and bars[other].run == bars[index].run
    ]
    weights, values = zip(*near, strict=True)
    return float(np.exp(np.average(np.log(values), weights=weights)))


def machine_times(piece: Piece, heard: HeardRecording, route: Route, tempo: float = 1.0) -> TempoMap:
    """The recording's time for the machine's players: one tempo a bar, and a hold where one is much longer.

    Bars that were not played, or are in doubt, go at the tempo of those around them.

    Args:
        piece: the piece.
        heard: the recording.
        route: what is played.
        tempo: share of the recording's tempo.
    """
    written = tempo_map(piece)
    shares: dict[int, float] = {}
    for each in bar_tempi(piece, heard):
        if each.share is not None:
            shares.setdefault(each.bar, each.played / each.written)
    usual = float(np.median(list(shares.values()))) if shares else 1.0
    stretches, holds = [], []
    for visit in route.visits:
        bar = piece.bars[visit.bar]
        around = [shares[near] for near in range(visit.bar - 3, visit.bar + 4) if near in shares and near != visit.bar]
        nearby = float(np.median(around)) if around else usual
        share = shares.get(visit.bar, nearby)
        length = written.seconds(bar.start + bar.length) - written.seconds(bar.start)
        speed = float(bar.length) / max(_SHORTEST, length) * tempo
        end = visit.offset + visit.length
        if share < nearby / HELD:
            waits = length * (1 / share - 1 / nearby) / tempo * float(visit.length / bar.length)
            holds.append(Hold(end, waits))
            share = nearby
        stretches.append(Stretch(visit.offset, end, speed * share, v1=speed * share))
    return TempoMap(stretches, holds)


def recorded_tempo(piece: Piece, heard: HeardRecording, bars: range) -> list[tuple[Fraction, float]]:
    """The tempo of some bars, quarter by quarter, as a share of the written one; straight between the middles of bars.

    Args:
        piece: the piece.
        heard: the recording.
        bars: indices; those that were not played or are in doubt are gone over.
    """
    # Of several times the first counts, which is the last from behind.
    shares = {each.bar: each.share for each in reversed(bar_tempi(piece, heard)) if each.share is not None}
    sure = [bar for bar in bars if bar in shares]
    if not sure:
        return []
    middles = [float(piece.bars[bar].start + piece.bars[bar].length / 2) for bar in sure]
    places = [piece.bars[bar].start + quarter for bar in bars for quarter in range(max(1, int(piece.bars[bar].length)))]
    logs = np.interp([float(place) for place in places], middles, np.log([shares[bar] for bar in sure]))
    return list(zip(places, np.exp(logs).tolist(), strict=True))


def sure_tempi(piece: Piece, heard: HeardRecording) -> dict[int, float]:
    """Quarters a minute of each bar, over three, the first time it is played for sure."""
    tempi: dict[int, float] = {}
    for each in bar_tempi(piece, heard):
        if each.smooth is not None:
            tempi.setdefault(each.bar, each.smooth)
    return tempi

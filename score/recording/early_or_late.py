"""Who is early or late in a recording of everybody, where the players' strokes can be told apart; silence elsewhere."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from statistics import fmean, median
from typing import NamedTuple

import numpy as np

from score.piece import Piece
from score.plain_text import several
from score.recording.heard_bars import HeardRecording, StrokeApart
from score.strokes.timing_figures import LEAST_FOR_MEAN, LEAST_FOR_SPREAD, Figure, mean_figure, spread

LEAST_SAID_MS = 8.0
"""Milliseconds beyond its uncertainty by which a mean must lie off: that far apart instruments alone show a blow."""
_ASTRAY = 3.5
"""Robust standard deviations from the middle beyond which something else was taken for a stroke."""
_DISTANCE = "A player a metre farther from the microphone is heard 3 ms later."


class PlayerWhen(NamedTuple):
    """A player against the others who struck at the same moments.

    Attributes:
        player: number.
        strokes: how many could be told apart from the others'.
        later: how much later than the others, milliseconds, negative is earlier; None under 30 strokes.
        spread_ms: standard deviation of that; None under 16.
    """

    player: int
    strokes: int
    later: Figure | None
    spread_ms: float | None

    @property
    def is_off(self) -> bool:
        """Whether the player is surely early or late, by more than instruments alone show."""
        return self.later is not None and abs(self.later.mean) - self.later.half > LEAST_SAID_MS


def early_or_late(piece: Piece, heard: HeardRecording) -> tuple[PlayerWhen, ...]:
    """Every player of the piece, in their order; where one of them is late, the others are not called early for it."""
    moments = [{note.player: 1000 * note.seconds for note in moment} for moment in _moments(heard)]
    usual = _usual(moments)
    offsets: dict[int, list[float]] = defaultdict(list)
    for moment in moments:
        for player, when in moment.items():
            others = [other - usual[who] for who, other in moment.items() if who != player]
            offsets[player].append(when - fmean(others))
    return tuple(_when(player.number, _without_astray(offsets[player.number])) for player in piece.players)


def _moments(heard: HeardRecording) -> Iterator[list[StrokeApart]]:
    for _, notes in groupby(heard.apart, key=lambda note: (note.bar, note.turn, note.at)):
        moment = list(notes)
        if len(moment) > 1:
            yield moment


def _usual(moments: Sequence[Mapping[int, float]]) -> dict[int, float]:
    """How much later each player is than the middle one of those they strike with: least squares over all moments."""
    players = sorted({player for moment in moments for player in moment})
    if not players:
        return {}
    rows, sides = [], []
    for moment in moments:
        share = np.array([1 / len(moment) if player in moment else 0.0 for player in players])
        for player, when in moment.items():
            rows.append((np.array(players) == player) - share)
            sides.append(when - fmean(moment.values()))
    later = np.linalg.lstsq(np.array(rows), np.array(sides))[0]
    usual = dict(zip(players, later.tolist(), strict=True))
    for group in _together(moments):
        middle = median(usual[player] for player in group)
        usual |= {player: usual[player] - middle for player in group}
    return usual


def _together(moments: Sequence[Mapping[int, float]]) -> list[set[int]]:
    """Players who can be compared, directly or through others."""
    groups: list[set[int]] = []
    for pair in {frozenset(moment) for moment in moments}:
        joined = [group for group in groups if group & pair]
        groups = [group for group in groups if not group & pair] + [set(pair).union(*joined)]
    return groups


def _without_astray(offsets: list[float]) -> list[float]:
    """Offsets without those far from all others, in their order."""
    if not offsets:
        return []
    middle = median(offsets)
    wide = _ASTRAY * 1.4826 * median(abs(offset - middle) for offset in offsets)
    return [offset for offset in offsets if abs(offset - middle) <= wide]


def _when(player: int, offsets: list[float]) -> PlayerWhen:
    return PlayerWhen(
        player,
        len(offsets),
        later=mean_figure(offsets) if len(offsets) >= LEAST_FOR_MEAN else None,
        spread_ms=spread(offsets) if len(offsets) >= LEAST_FOR_SPREAD else None,
    )


def early_or_late_lines(piece: Piece, players: tuple[PlayerWhen, ...]) -> list[str]:
    """What is to be said of each player, and what a microphone adds."""
    lines = [f"  {piece.player(each.player).name}: {_words(each)}" for each in players]
    return [*lines, f"  {_DISTANCE}"] if any(each.later is not None for each in players) else lines


def _words(when: PlayerWhen) -> str:
    strokes = several(when.strokes, "stroke")
    if when.later is None:
        return f"cannot be told: {strokes if when.strokes else 'none'} of theirs heard apart from the others'"
    if not when.is_off:
        return f"with the others, over {strokes}"
    side = "behind" if when.later.mean > 0 else "ahead of"
    return f"{abs(when.later.mean):.0f} ± {when.later.half:.0f} ms {side} the others, over {strokes}"


def early_or_late_json(players: tuple[PlayerWhen, ...]) -> list[dict[str, object]]:
    """A player each: `player`, `strokes`, `later_ms`, `later_ms_interval` (95 %), `spread_ms`; null where too few."""
    return [
        {
            "player": each.player,
            "strokes": each.strokes,
            "later_ms": None if each.later is None else round(each.later.mean, 1),
            "later_ms_interval": None if each.later is None else [round(end, 1) for end in each.later.interval],
            "spread_ms": None if each.spread_ms is None else round(each.spread_ms, 1),
        }
        for each in players
    ]

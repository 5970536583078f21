"""Several players recorded at once, a microphone each: whose stroke each onset is, and where in the score it stands."""

from bisect import bisect_right
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.piece import Piece
from score.strokes.onsets import LIKELY, onset_hop, onsets
from score.strokes.spectral_rise import LAG, Samples, loudness, rises, spectra
from score.takes.band_matching import Hearing, MatchCosts, Wish, match
from score.takes.expected_strokes import ExpectedPass, expected_pass
from score.takes.free_matching import EXTRA, IN_A_ROLL, Costs, follow
from score.takes.pass_judging import Regions
from score.time.route import Route

_NEAR_HOPS = 4
_OVER_LEAK = 1.5
"""How far an onset stands over what the others' strokes leave in the same microphone to be its own player's."""
_LEAST_APART = 0.3
_ONE_MOMENT = 0.06
_ROLL_ENDS = 0.1
_WRONG = 3.5
_SMOOTH = 3


class PlayerHeard(NamedTuple):
    """One player of a recording.

    Attributes:
        player: number.
        expected: what is written.
        moments: for each expected stroke when it was heard, seconds of the recording; None where it was not.
    """

    player: int
    expected: ExpectedPass
    moments: tuple[float | None, ...]


class GroupHeard(NamedTuple):
    """A recording of the whole group.

    Attributes:
        players: those whose microphone it has, by their numbers.
        apart: how much less a microphone hears the others than its own player: 1 not at all, 0 as loud.
    """

    players: tuple[PlayerHeard, ...]
    apart: float

    @property
    def can_be_told(self) -> bool:
        """Whether the microphones tell the players from each other."""
        return self.apart >= _LEAST_APART


def hear_group(piece: Piece, route: Route, players: Sequence[int], channels: Sequence[Samples]) -> GroupHeard:
    """Match a rehearsal's recording player by player, in whatever tempo it went.

    Args:
        piece: the piece.
        route: what was played.
        players: numbers, one a channel.
        channels: mono, begun at the same moment.
    """
    bands = [spectra(channel) for channel in channels]
    own, apart = _own_moments(bands)
    expected = [expected_pass(piece, route, player) for player in players]
    written, played = _pace(expected, own)
    heard = [
        PlayerHeard(player, part, _matched(part, moments, written, played))
        for player, part, moments in zip(players, expected, own, strict=True)
    ]
    return GroupHeard(tuple(heard), apart)


def _own_moments(bands: Sequence[NDArray[np.float32]]) -> tuple[list[list[float]], float]:
    """For each microphone the moments of its own player; how much less than its own player it hears the others."""
    powers = [_power_rise(part) for part in bands]
    channels = [[o.seconds for o in onsets(rises(part, loudness(part) or 1.0), LIKELY)] for part in bands]
    around = [np.array([_around(powers, second) for second in heard]).reshape(-1, len(bands)) for heard in channels]
    leaks = _leaks(np.concatenate(around))
    own: list[list[float]] = []
    for channel, heard in enumerate(channels):
        explained = (around[channel] * leaks[channel]).max(axis=1, initial=0.0)
        mine = around[channel][:, channel] > _OVER_LEAK * explained
        own.append([second for second, is_mine in zip(heard, mine, strict=True) if is_mine])
    return own, float(1 - leaks.max(initial=0.0))


def _around(powers: Sequence[NDArray[np.float64]], seconds: float) -> list[float]:
    """The rise round a moment in every microphone."""
    hop = onset_hop(seconds)
    return [float(power[max(0, hop - _NEAR_HOPS) : hop + _NEAR_HOPS + 1].max(initial=0.0)) for power in powers]


def _leaks(rises_around: NDArray[np.float64]) -> NDArray[np.float64]:
    """How loud each player is in every other microphone against the own one: leaks[i, j] of player j in microphone i.

    Taken from the moments at which one microphone rises most; the median, as others may strike at the same moment.
    """
    count = rises_around.shape[1]
    leaks = np.zeros((count, count))
    loudest = rises_around.argmax(axis=1)
    for j in range(count):
        rows = rises_around[loudest == j]
        if len(rows):
            leaks[:, j] = np.median(rows / np.maximum(rows[:, j : j + 1], 1e-12), axis=0)
    np.fill_diagonal(leaks, 0.0)
    return leaks


def _power_rise(bands: NDArray[np.float32]) -> NDArray[np.float64]:
    """How much more there is than a hundredth of a second before, in the microphone's own units."""
    level = np.sqrt(np.square(bands, dtype=np.float64).sum(axis=1))
    return np.concatenate([np.zeros(LAG), np.maximum(level[LAG:] - level[:-LAG], 0.0)])


def _pace(expected: Sequence[ExpectedPass], own: Sequence[Sequence[float]]) -> tuple[list[float], list[float]]:
    """The group's way through the score: written seconds, and those of the recording, both rising."""
    places: dict[float, set[int]] = {}
    for index, part in enumerate(expected):
        for stroke in part.strokes:
            places.setdefault(round(stroke.seconds, 4), set()).add(index)
    written = sorted(places)
    moments: list[tuple[float, set[int]]] = []
    for second, index in sorted((second, index) for index, mine in enumerate(own) for second in mine):
        if moments and second - moments[-1][0] <= _ONE_MOMENT and index not in moments[-1][1]:
            moments[-1][1].add(index)
        else:
            moments.append((second, {index}))
    who = [places[second] for second in written]
    rolling = [[_rolls(part, second) for part in expected] for second in written]
    groups = [frozenset(players) for _, players in moments]

    # A handful of groups of players strikes together, again and again.
    @cache
    def of(heard: frozenset[int]) -> tuple[Costs, Costs]:
        others = np.array([_WRONG * (1 - len(heard & here) / len(heard | here)) for here in who])
        more = np.array([IN_A_ROLL if all(rolls[index] for index in heard) else EXTRA for rolls in rolling])
        return others, more

    followed = follow(written, [s for s, _ in moments], lambda j: of(groups[j])[0], lambda j: of(groups[j])[1])
    pairs = [(written[place], moments[j][0]) for j, place in enumerate(followed) if place is not None]
    return _rising(pairs)


def _rolls(part: ExpectedPass, seconds: float) -> bool:
    """Whether a player rolls at a moment of the music."""
    index = bisect_right(part.strokes, seconds + 1e-3, key=lambda stroke: stroke.seconds) - 1
    return index >= 0 and part.strokes[index].is_rolled and part.strokes[index].until > seconds - _ROLL_ENDS


def _rising(pairs: Sequence[tuple[float, float]]) -> tuple[list[float], list[float]]:
    """The pairs in one direction only, each moment smoothed by its neighbours."""
    kept: list[tuple[float, float]] = []
    for written, played in pairs:
        if not kept or (written > kept[-1][0] and played > kept[-1][1]):
            kept.append((written, played))
    smooth = []
    for k, (written, played) in enumerate(kept):
        around = kept[max(0, k - _SMOOTH) : k + _SMOOTH + 1]
        if len(around) > 3:
            slope, level = np.polyfit([w - written for w, _ in around], [p for _, p in around], 1)
            played = float(level) if slope > 0 else played
        smooth.append(played)
    return [written for written, _ in kept], smooth


def _matched(
    part: ExpectedPass, moments: Sequence[float], written: Sequence[float], played: Sequence[float]
) -> tuple[float | None, ...]:
    """One player's strokes, along the group's pace."""
    if len(written) < 2:
        return (None,) * len(part.strokes)
    regions = Regions(part.strokes)
    wishes = [Wish(_along(stroke.seconds, written, played)) for stroke in part.strokes]
    hearings = [Hearing(second, 0.0 if regions.hold(_along(second, played, written)) else 4.0) for second in moments]
    matching = match(wishes, hearings, MatchCosts(spread=0.05))
    return tuple(None if j is None else moments[j] for j in matching.heard)


def _along(value: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """A value on the line through points; at both ends the line goes on."""
    k = min(max(1, bisect_right(xs, value)), len(xs) - 1)
    (a, b), (c, d) = (xs[k - 1], ys[k - 1]), (xs[k], ys[k])
    return b + (d - b) * (value - a) / (c - a) if c > a else b

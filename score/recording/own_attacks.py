"""Whose stroke came when, at moments at which the strokes of several players can be told apart by their pitches.

A stroke is told apart by a semitone in which nobody else can be heard at that moment: no other player strikes it or its
neighbour, or a note of which it is a partial. How late a semitone shows a blow is learnt, for each player, from strokes
they make alone.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.piece import Stroke, StrokeKind
from score.recording.fine import PlacedRun
from score.recording.heard_bars import StrokeApart
from score.recording.heard_run import BarSpan
from score.recording.score_moments import WrittenMusic
from score.recording.semitones import HIGHEST, LOWEST, SHORT
from score.recording.snap import Attacks
from score.recording.sound_features import SHARP_RATE
from score.strokes.spectral_rise import vertex

_PARTIALS = (12, 19, 24, 28, 31, 34, 36, 40)
"""Semitones from a note to its partials: the 2nd to 8th, and the tuned 4th and 10th of bars."""
_WITHIN, _LEAST_WITHIN = 0.12, 0.09
"""Seconds to each side within which a stroke is looked for; where its semitone is struck again sooner it is left out,
since whoever looks too near finds everybody together."""
_GAP_SHARE = 0.45
_FEWEST_ALONE = 12
_SHARP_AROUND = 0.03


class _OwnStroke(NamedTuple):
    """A player's strokes at a moment: the semitones nobody else is heard in."""

    player: int
    columns: tuple[int, ...]


class OwnAttacks:
    """Strokes of single players in a recording.

    Args:
        music: the written music.
        attacks: of the recording.
        sharp: shape (sharp frames,): where attacks of any kind are made.
    """

    def __init__(self, music: WrittenMusic, attacks: Attacks, sharp: NDArray[np.uint8]) -> None:
        self._music, self._attacks, self._sharp = music, attacks, sharp
        self._struck, rolled = _struck(music), _rolled(music)
        self._own = [tuple(_own(struck, going)) for struck, going in zip(self._struck, rolled, strict=True)]
        self._alone = [len(struck) == 1 and not going for struck, going in zip(self._struck, rolled, strict=True)]
        self._lags: dict[tuple[int, int], float] = {}

    def learn(self, runs: Sequence[PlacedRun]) -> None:
        """Learn from strokes that players make alone how late their semitones show them."""
        seen: dict[tuple[int, int], list[float]] = {}
        for placed in runs:
            for key, late in self._made_alone(placed):
                seen.setdefault(key, []).append(late)
        self._lags = {key: float(np.median(lags)) for key, lags in seen.items() if len(lags) >= _FEWEST_ALONE}

    def _made_alone(self, placed: PlacedRun) -> Iterator[tuple[tuple[int, int], float]]:
        """(player, window) and how late each stroke shows that is made alone."""
        for index, moment in enumerate(placed.moments):
            for own in self._own[moment] if self._alone[moment] else ():
                for column in own.columns:
                    second = self._second(placed, index, column)
                    if second is not None and (blow := self._blow(second)) is not None:
                        yield (own.player, _window(column)), second - blow

    def told_apart(self, placed: PlacedRun, span: BarSpan, turn: int) -> Iterator[StrokeApart]:
        """The strokes of a bar at moments at which two players or more can be told apart."""
        for index in span.moments:
            bar, at = self._music.moments[placed.moments[index]]
            heard = [
                StrokeApart(bar, turn, at, player=own.player, seconds=second)
                for own in self._own[placed.moments[index]]
                if (second := self._stroke(placed, int(index), own)) is not None
            ]
            if len(heard) > 1:
                yield from heard

    def _stroke(self, placed: PlacedRun, index: int, own: _OwnStroke) -> float | None:
        """When a player struck, the mean over their own semitones; None where that is not clear."""
        seconds = [
            second - self._lags.get((own.player, _window(column)), 0.0)
            for column in own.columns
            if (second := self._second(placed, index, column)) is not None
        ]
        return float(np.mean(seconds)) if seconds else None

    def _second(self, placed: PlacedRun, index: int, column: int) -> float | None:
        """When a semitone is struck near a moment."""
        near = min(self._free(placed, index, column, side) for side in (-1, 1))
        if near < _LEAST_WITHIN:
            return None
        return self._attacks.clearest(column, float(placed.seconds[index]), near)

    def _free(self, placed: PlacedRun, index: int, column: int, side: int) -> float:
        """Seconds to one side within which no other moment strikes a semitone, or shows in it."""
        other = index + side
        while 0 <= other < len(placed.moments):
            apart = abs(float(placed.seconds[other] - placed.seconds[index])) * _GAP_SHARE
            if apart >= _WITHIN:
                break
            if any(_shows(struck, column) for struck in self._struck[placed.moments[other]].values()):
                return apart
            other += side
        return _WITHIN

    def _blow(self, second: float) -> float | None:
        """Where the very short window sees the blow of a stroke made alone."""
        center, width = round(second * SHARP_RATE), int(_SHARP_AROUND * SHARP_RATE)
        seen = self._sharp[max(0, center - width) : center + width + 1].astype(float)
        top = int(seen.argmax()) if len(seen) == 2 * width + 1 else 0
        if not 0 < top < len(seen) - 1:
            return None
        return (center - width + top + vertex(*map(float, seen[top - 1 : top + 2]))) / SHARP_RATE


def _struck(music: WrittenMusic) -> list[dict[int, tuple[int, ...]]]:
    """For each moment, number of a player to the semitones they strike; none for strokes without pitch."""
    place = {moment: index for index, moment in enumerate(music.moments)}
    rows: list[dict[int, tuple[int, ...]]] = [{} for _ in music.moments]
    for number, stroke in _strokes(music):
        row = rows[place[stroke.bar, stroke.at]]
        row[number] = (*row.get(number, ()), *(pitch - LOWEST for pitch in stroke.pitches))
    return rows


def _rolled(music: WrittenMusic) -> list[dict[int, tuple[int, ...]]]:
    """For each moment, number of a player to the semitones of rolls that begin there or go on."""
    rows: list[dict[int, tuple[int, ...]]] = [{} for _ in music.moments]
    for number, stroke in _strokes(music):
        if stroke.kind is StrokeKind.ROLL:
            start = float(music.piece.offset_of(stroke.bar, stroke.at))
            edges = np.searchsorted(music.moment_quarters, (start - 1e-6, start + float(stroke.length) - 1e-6))
            for row in rows[edges[0] : edges[1]]:
                row[number] = (*row.get(number, ()), *(pitch - LOWEST for pitch in stroke.pitches))
    return rows


def _strokes(music: WrittenMusic) -> Iterator[tuple[int, Stroke]]:
    """(player, stroke) of every stroke that has a place of its own."""
    for player in music.piece.players:
        yield from ((player.number, stroke) for stroke in player.strokes if stroke.kind is not StrokeKind.GRACE)


def _own(struck: Mapping[int, tuple[int, ...]], rolled: Mapping[int, tuple[int, ...]]) -> Iterator[_OwnStroke]:
    """The players who can be told apart from all others of a moment, with the semitones nobody else is heard in."""
    for number, columns in struck.items():
        others = [other for row in (struck, rolled) for who, theirs in row.items() if who != number for other in theirs]
        own = tuple(column for column in columns if 0 <= column <= HIGHEST - LOWEST and not _shows(others, column))
        if own and number not in rolled:
            yield _OwnStroke(number, own)


def _shows(struck: Iterable[int], column: int) -> bool:
    """Whether strokes are seen in a semitone: its own, a neighbour's, or that of one of their partials."""
    return any(abs(column - other) <= 1 or column - other in _PARTIALS for other in struck)


def _window(column: int) -> int:
    """Which length of window a semitone is heard through."""
    return next(number for number, window in enumerate(SHORT) if column + LOWEST < window.high)

"""What each bar of a part holds, as values that can be compared, and which bars follow which when the piece is played.

Grace strokes are left out: a passage is told apart by what it strikes in time.
"""

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from score.piece import Bar, Piece, Player, StrokeKind


class StruckSound(NamedTuple):
    """One stroke as it is told apart from another.

    Attributes:
        length: quarters.
        kind: stroke or roll.
        pitches: sounding MIDI numbers from low to high; empty when unpitched.
        places: written places of unpitched strokes.
        instrument: its index among the player's instruments.
    """

    length: Fraction
    kind: str
    pitches: tuple[int, ...]
    places: tuple[str, ...]
    instrument: int


Onset = tuple[Fraction, tuple[StruckSound, ...]]
"""Quarters from the beginning of the bar, and what is struck there."""

Content = tuple[Onset, ...]
"""A bar: its onsets in order; empty where nothing is struck."""


class Contents:
    """A player's bars.

    Args:
        piece: the piece.
        player: whose part.
    """

    def __init__(self, piece: Piece, player: Player) -> None:
        self.piece, self.player = piece, player
        self.bars: tuple[Content, ...] = bar_contents(piece, player)

    @cached_property
    def classes(self) -> tuple[int, ...]:
        """A number for each bar; bars of the same length that hold the same have the same."""
        numbers: dict[tuple[Content, Fraction], int] = {}
        return tuple(
            numbers.setdefault((content, bar.length), len(numbers))
            for content, bar in zip(self.bars, self.piece.bars, strict=True)
        )


def bar_contents(piece: Piece, player: Player) -> tuple[Content, ...]:
    """What a player strikes in each bar."""
    bars: list[dict[Fraction, list[StruckSound]]] = [defaultdict(list) for _ in piece.bars]
    for stroke in player.strokes:
        if stroke.kind is not StrokeKind.GRACE:
            sound = StruckSound(
                stroke.length,
                str(stroke.kind),
                stroke.pitches,
                places=() if stroke.pitches else stroke.places,
                instrument=stroke.instrument,
            )
            bars[stroke.bar][stroke.at].append(sound)
    return tuple(tuple((at, tuple(sorted(onsets[at]))) for at in sorted(onsets)) for onsets in bars)


def steady_bars(piece: Piece) -> tuple[bool, ...]:
    """For each bar whether it may stand in a question: whole, and always followed by the next one when it is played.

    A bar that is sometimes left by a jump, or a part of a bar split by a repeat, has two continuations or counts as one
    bar where players count half of one.
    """
    after: dict[int, set[int]] = defaultdict(set)
    for here, there in pairwise(piece.playing_order):
        after[here].add(there)
    return tuple(_is_whole(bar) and after[bar.index] <= {bar.index + 1} for bar in piece.bars)


def _is_whole(bar: Bar) -> bool:
    return bar.index == 0 or bar.length == bar.meter.length


def onward(steady: Sequence[bool], first: int, last: int) -> bool:
    """Whether bars first to last follow one another however the piece is played, and there are so many."""
    return first >= 0 and last < len(steady) and all(steady[first:last])

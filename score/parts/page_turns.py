"""Where a player can turn a page: seconds of free hands around every bar line, at the tempo."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from math import inf

from score.piece import Piece
from score.time.pulse import PulseOptions, tempo_map


def free_seconds(piece: Piece, player: int, pulse: PulseOptions | None = None) -> tuple[float, ...]:
    """For every bar, the seconds in which the player has nothing written around the line that ends it.

    The player can read a rest through before turning, so rests on both sides of the line count. A note
    counts as long as it is written, rolled or not: on paper a hand is free only in a rest. After the
    player's last note it is infinite.

    Args:
        piece: the piece.
        player: number of the player.
        pulse: the group's tempo; the written one without it.
    """
    times = tempo_map(piece, pulse)
    spans = _busy(piece, player)
    starts, ends = [start for start, _ in spans], [end for _, end in spans]
    return tuple(_free_at(bar.start + bar.length, starts, ends, times.seconds) for bar in piece.bars)


def turns_back(piece: Piece) -> tuple[tuple[int, int], ...]:
    """Every jump back in playing order as (bar it leaves, bar it goes to), once each."""
    jumps = ((here, there) for here, there in pairwise(piece.playing_order) if there <= here)
    return tuple(dict.fromkeys(jumps))


def _busy(piece: Piece, player: int) -> list[tuple[Fraction, Fraction]]:
    """What the player has written, as offsets in quarters; joined where notes touch or overlap."""
    spans: list[tuple[Fraction, Fraction]] = []
    for stroke in piece.player(player).strokes:
        start = piece.offset(stroke.place)
        end = start + stroke.length
        if spans and start <= spans[-1][1]:
            spans[-1] = spans[-1][0], max(spans[-1][1], end)
        else:
            spans.append((start, end))
    return spans


def _free_at(
    line: Fraction, starts: Sequence[Fraction], ends: Sequence[Fraction], seconds: Callable[[Fraction], float]
) -> float:
    following = bisect_left(starts, line)
    before = bisect_right(ends, line) - 1
    if following - before > 1:
        return 0.0  # a note is held over the line
    if following == len(starts):
        return inf
    return seconds(starts[following]) - seconds(ends[before] if before >= 0 else Fraction(0))

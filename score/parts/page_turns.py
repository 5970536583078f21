"""Where a player can turn a page: seconds of free hands around every bar line, at the tempo."""

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
    seconds, spans = tempo_map(piece, pulse).seconds, _busy(piece, player)
    free: list[float] = []
    begun = ended = 0
    for bar in piece.bars:
        line = bar.start + bar.length
        while begun < len(spans) and spans[begun][0] < line:
            begun += 1
        while ended < len(spans) and spans[ended][1] <= line:
            ended += 1
        if begun > ended:
            free.append(0.0)  # a note is held over the line
        elif begun == len(spans):
            free.append(inf)
        else:
            free.append(seconds(spans[begun][0]) - seconds(spans[ended - 1][1] if ended else Fraction(0)))
    return tuple(free)


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
            if end > spans[-1][1]:
                spans[-1] = spans[-1][0], end
        else:
            spans.append((start, end))
    return spans

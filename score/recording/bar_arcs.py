"""Where the signs let the music go on elsewhere than in the next bar."""

from collections.abc import Iterator
from itertools import pairwise

from score.piece import Piece


def bar_arcs(piece: Piece) -> tuple[tuple[int, int], ...]:
    """(from the end of a bar, to the beginning of a bar) of every jump that is written, taken or left out."""
    arcs = {(a, b) for a, b in pairwise(piece.playing_order) if b != a + 1}
    arcs |= set(_past_first_endings(piece)) | set(_back_again(piece))
    return tuple(sorted(arc for arc in arcs if arc[1] != arc[0] + 1))


def _past_first_endings(piece: Piece) -> Iterator[tuple[int, int]]:
    """Straight to any later ending of a passage, as if the repeats had been taken."""
    bars = piece.bars
    for first in (bar.index for bar in bars if 1 in bar.endings and (not bar.index or not bars[bar.index - 1].endings)):
        before: tuple[int, ...] = ()
        for bar in bars[first:]:
            if not bar.endings:
                break
            if first and bar.endings != before:
                yield first - 1, bar.index
            before = bar.endings


def _back_again(piece: Piece) -> Iterator[tuple[int, int]]:
    """Back to the beginning of every repeat."""
    start = 0
    for bar in piece.bars:
        if bar.repeat_start:
            start = bar.index
        if bar.repeat_times:
            yield bar.index, start
            start = start if bar.endings else bar.index + 1

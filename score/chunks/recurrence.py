"""Material that comes back: the same bars of all players, exactly or in rhythm."""

from collections.abc import Hashable, Sequence

from score.chunks.chunk import Sameness
from score.piece import Piece


def recurrences(piece: Piece, runs: Sequence[range]) -> list[tuple[int, Sameness] | None]:
    """For each run of bars the first bar of the earliest bars before it that it repeats, and how; or None.

    Runs with fewer than two strokes in them repeat nothing.
    """
    exact, rhythm, struck = _signs(piece)
    earlier: list[tuple[int, Sameness] | None] = []
    for run in runs:
        place: tuple[int, Sameness] | None = None
        if sum(struck[bar] for bar in run) >= 2:
            for signs, kind in ((exact, Sameness.EXACT), (rhythm, Sameness.RHYTHM)):
                first = _earlier(signs, run)
                if first is not None:
                    place = first, kind
                    break
        earlier.append(place)
    return earlier


def _earlier(signs: Sequence[Hashable], run: range) -> int | None:
    wanted = [signs[bar] for bar in run]
    for first in range(run[0] - len(run) + 1):
        if [signs[bar] for bar in range(first, first + len(run))] == wanted:
            return first
    return None


def _signs(piece: Piece) -> tuple[list[Hashable], list[Hashable], list[int]]:
    """For each bar: everything all players strike in it, its rhythm alone, and how many strokes there are."""
    exact: list[list[Hashable]] = [[bar.length] for bar in piece.bars]
    rhythm: list[list[Hashable]] = [[bar.length] for bar in piece.bars]
    struck = [0] * len(piece.bars)
    for player in piece.players:
        for stroke in player.strokes:
            when = (player.number, stroke.at, stroke.length, stroke.kind)
            exact[stroke.bar].append((*when, stroke.instrument, stroke.pitches, stroke.places))
            rhythm[stroke.bar].append(when)
            struck[stroke.bar] += 1
    return [tuple(bar) for bar in exact], [tuple(bar) for bar in rhythm], struck

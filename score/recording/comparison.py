"""Recordings of one piece side by side: where one goes faster or slower than another."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from score.piece import Piece
from score.places import bar_name
from score.recording.bar_tempi import sure_tempi
from score.recording.heard_bars import HeardRecording

DIFFERENT = 0.05
"""Share by which two recordings must differ, over `LEAST_BARS` bars that are sure in both, to be called different."""
LEAST_BARS = 2


class Difference(NamedTuple):
    """A run of bars that two recordings play differently.

    Attributes:
        first, last: indices of the bars.
        percent: by how much the second is faster than the first.
    """

    first: int
    last: int
    percent: float


def differences(piece: Piece, first: HeardRecording, second: HeardRecording) -> tuple[Difference, ...]:
    """Where the second recording is faster or slower than the first: runs of bars that are sure in both."""
    one_way, other = sure_tempi(piece, first), sure_tempi(piece, second)
    changes = [(bar, other[bar] / one_way[bar] - 1) for bar in sorted(one_way.keys() & other.keys())]
    return tuple(
        Difference(run[0][0], run[-1][0], 100 * float(np.mean([change for _, change in run])))
        for run in _runs(changes)
        if len(run) >= LEAST_BARS
    )


def _runs(changes: Sequence[tuple[int, float]]) -> Iterator[list[tuple[int, float]]]:
    """Bars that follow each other and differ alike: where that changes for good, another run begins."""
    run: list[tuple[int, float]] = []
    for index, (bar, change) in enumerate(changes):
        if run and (run[-1][0] != bar - 1 or _turns(run, changes[index : index + LEAST_BARS])):
            yield run
            run = []
        if abs(change) >= DIFFERENT:
            run.append((bar, change))
    if run:
        yield run


def _turns(run: Sequence[tuple[int, float]], coming: Sequence[tuple[int, float]]) -> bool:
    """Whether a run ends before what comes: a bar that hardly differs, or some that all differ otherwise."""
    usual = float(np.mean([change for _, change in run]))
    first = coming[0][1]
    if abs(first) < DIFFERENT or (first > 0) != (usual > 0):
        return True
    aside = [change - usual for _, change in coming]
    return len(aside) == LEAST_BARS and (min(aside) >= DIFFERENT or max(aside) <= -DIFFERENT)


def comparison_lines(piece: Piece, heard: HeardRecording, others: Mapping[str, HeardRecording]) -> list[str]:
    """Where each other recording differs from this one, in words.

    Args:
        piece: the piece.
        heard: the recording.
        others: by the names they are called.
    """
    lines = []
    for name, other in others.items():
        different = differences(piece, heard, other)
        lines.append(f"{name}, beside this one" if different else f"{name} goes as this one does")
        lines += [f"  {_bars(piece, each)}: {abs(each.percent):.0f} % {_pace(each)}" for each in different]
    least = f"Different is {100 * DIFFERENT:.0f} % or more over {LEAST_BARS} bars or more that are sure in both."
    return [*lines, least]


def _bars(piece: Piece, each: Difference) -> str:
    return f"bars {bar_name(piece, each.first)} to {bar_name(piece, each.last)}"


def _pace(each: Difference) -> str:
    return "faster" if each.percent > 0 else "slower"


def comparison_json(piece: Piece, heard: HeardRecording, others: Mapping[str, HeardRecording]) -> list[dict[str, Any]]:
    """What each other recording does, as values JSON can write.

    Keys: `file`, `different` (`first` and `last`, indices of bars, `percent` it is faster there) and `bars` that are
    sure in both (`index`, `tempo` of this one, `beside` of that one, quarters a minute).
    """
    ours = sure_tempi(piece, heard)
    rows = []
    for name, other in others.items():
        theirs = sure_tempi(piece, other)
        different = [
            {"first": each.first, "last": each.last, "percent": round(each.percent, 1)}
            for each in differences(piece, heard, other)
        ]
        bars = [
            {"index": bar, "tempo": round(ours[bar], 1), "beside": round(theirs[bar], 1)}
            for bar in sorted(ours.keys() & theirs.keys())
        ]
        rows.append({"file": name, "different": different, "bars": bars})
    return rows

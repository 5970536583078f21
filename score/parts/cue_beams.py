"""Which of a cue's notes are under one beam: runs of short notes inside one group of the meter."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from score.parts.cue_rhythm import Sign
from score.piece import Bar

_LEVELS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}


def beams_of(signs: Sequence[Sign], bar: Bar) -> dict[int, tuple[str, ...]]:
    """Beams by sign: runs of short notes inside one group of the meter."""
    beams: dict[int, tuple[str, ...]] = {}
    for run in beam_runs(signs, bar):
        depths = [_LEVELS[signs[index].value] for index in run]
        for place, index in enumerate(run):
            before = depths[place - 1] if place else 0
            after = depths[place + 1] if place + 1 < len(run) else 0
            beams[index] = tuple(_beam(level, before, after) for level in range(1, depths[place] + 1))
    return beams


def _beam(level: int, before: int, after: int) -> str:
    if before >= level and after >= level:
        return "continue"
    if after >= level:
        return "begin"
    if before >= level:
        return "end"
    return "backward hook" if before else "forward hook"


def beam_runs(signs: Sequence[Sign], bar: Bar) -> Iterator[list[int]]:
    """Indices of the signs under each beam of a bar: short notes of one group, no beam half inside a tuplet."""
    spans = list(tuplet_spans(signs))
    for run in _group_runs(signs, bar):
        edges = [edge for span in spans if _is_half_inside(run, span) for edge in (span[0], span[1] + 1)]
        cuts = sorted({run[0], *(edge for edge in edges if run[0] < edge <= run[-1]), run[-1] + 1})
        yield from (list(range(first, end)) for first, end in pairwise(cuts) if end - first > 1)


def tuplet_spans(signs: Sequence[Sign]) -> Iterator[tuple[int, int]]:
    """First and last sign of each bracketed tuplet."""
    start = -1
    for index, sign in enumerate(signs):
        if sign.bracket == "start":
            start = index
        elif sign.bracket == "stop" and start >= 0:
            yield start, index
            start = -1


def _is_half_inside(run: Sequence[int], span: tuple[int, int]) -> bool:
    first, last = span
    apart = last < run[0] or run[-1] < first
    return not apart and not (run[0] <= first and last <= run[-1]) and not (first <= run[0] and run[-1] <= last)


def _group_runs(signs: Sequence[Sign], bar: Bar) -> Iterator[list[int]]:
    """Runs of short notes inside one group of the meter."""
    edges = list(accumulate(bar.meter.groups))
    run: list[int] = []
    group = 0
    for index, sign in enumerate(signs):
        beamed = not sign.rest and sign.value in _LEVELS
        here = bisect_right(edges, sign.at) if beamed else None
        if run and here != group:
            yield run
            run = []
        if here is not None:
            run.append(index)
            group = here
    if run:
        yield run

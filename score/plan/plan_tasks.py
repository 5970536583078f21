"""What could be rehearsed: chunks, joins, runs and the whole, each with minutes, worth and what must come before.

Common practice, no source, and a heuristic throughout: spaced visits to a chunk beat one long one for facts
(Cepeda et al. 2008), and accuracy at an instrument was found to grow over a night (Simmons 2012), while other
studies found no difference; so a chunk is visited once a rehearsal at most, and each visit is worth less.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from score.plan.plan_inputs import Material

# Minutes: a visit to a chunk grows with what it asks; a join is both its ends a few times over the seam; a run
# is played once and talked about. Worth: of the first, second, ... visit.
_CHUNK_LEAST, _CHUNK_PER_SECOND, _CHUNK_TOGETHER = 3.0, 3.0 / 60, 7.0
_JOIN_MINUTES, _RUN_TALK, _RUN_STRETCH = 4.0, 2.0, 1.25
_CHUNK_WORTH, _JOIN_WORTH, _RUN_WORTH, _WHOLE_WORTH = (1.0, 0.6, 0.35), (0.5, 0.2), (0.5, 0.25), (1.2, 0.5, 0.3)
_CHUNKS_IN_A_RUN = 4


class TaskKind(StrEnum):
    """What is done with it."""

    CHUNK = "chunk"
    JOIN = "join"
    RUN = "run"
    WHOLE = "whole"
    BREAK = "break"


@dataclass(frozen=True, slots=True)
class PlanTask:
    """Something that can be rehearsed.

    Attributes:
        kind: what is done.
        first, last: positions of the chunks it covers, both included.
        minutes: that one visit takes.
        worth: of the first, second, ... visit, no unit; as many visits as it has figures.
        after: positions of the tasks that must have been visited before, or earlier on the same day.
        needed: players it cannot do without.
    """

    kind: TaskKind
    first: int
    last: int
    minutes: int
    worth: tuple[float, ...]
    after: tuple[int, ...]
    needed: frozenset[int]


def tasks_of(chunks: Sequence[Material]) -> tuple[PlanTask, ...]:
    """Every task of a piece: chunks first, then joins, runs over four chunks, the whole."""
    fresh = [i for i, chunk in enumerate(chunks) if chunk.repeats is None]
    tasks = [_chunk(chunks, i) for i in fresh]
    where = {i: position for position, i in enumerate(fresh)}
    places = [where[_origin(chunks, i)] for i in range(len(chunks))]
    joins = {}
    for i in range(len(chunks) - 1):
        joins[i] = len(tasks)
        tasks.append(_join(chunks, i, places))
    if len(chunks) > _CHUNKS_IN_A_RUN:
        for first in range(0, len(chunks), _CHUNKS_IN_A_RUN):
            last = min(first + _CHUNKS_IN_A_RUN, len(chunks)) - 1
            if last > first + 1:
                tasks.append(_run(TaskKind.RUN, chunks, first, last, joins, _RUN_WORTH))
    tasks.append(_run(TaskKind.WHOLE, chunks, 0, len(chunks) - 1, joins, _WHOLE_WORTH))
    if len(chunks) == 1:
        tasks[-1] = PlanTask(
            TaskKind.WHOLE, 0, 0, minutes=tasks[-1].minutes, worth=_WHOLE_WORTH, after=(0,), needed=tasks[-1].needed
        )
    return tuple(tasks)


def difficulty(chunk: Material) -> float:
    """What there is to do together, 0 to 1: what the chunk asks, less what is ready."""
    return chunk.together * (1 - 0.7 * (chunk.ready or 0.0))


def _origin(chunks: Sequence[Material], i: int) -> int:
    repeats = chunks[i].repeats
    return i if repeats is None else repeats


def _chunk(chunks: Sequence[Material], i: int) -> PlanTask:
    chunk = chunks[i]
    hard = difficulty(chunk)
    minutes = ceil(_CHUNK_LEAST + _CHUNK_PER_SECOND * chunk.seconds + _CHUNK_TOGETHER * hard)
    worth = tuple((1 + 2 * hard) * share for share in _CHUNK_WORTH)
    return PlanTask(TaskKind.CHUNK, i, i, minutes=minutes, worth=worth, after=(), needed=frozenset(chunk.needed))


def _join(chunks: Sequence[Material], i: int, places: Sequence[int]) -> PlanTask:
    left, right = chunks[i], chunks[i + 1]
    hard = (difficulty(left) + difficulty(right)) / 2
    worth = tuple((1 + hard) * share for share in _JOIN_WORTH)
    after = tuple(dict.fromkeys((places[i], places[i + 1])))
    return PlanTask(
        TaskKind.JOIN,
        i,
        i + 1,
        minutes=ceil(_JOIN_MINUTES),
        worth=worth,
        after=after,
        needed=frozenset((*left.needed, *right.needed)),
    )


def _run(
    kind: TaskKind,
    chunks: Sequence[Material],
    first: int,
    last: int,
    joins: dict[int, int],
    worth: tuple[float, ...],
) -> PlanTask:
    covered = chunks[first : last + 1]
    minutes = ceil(_RUN_TALK + _RUN_STRETCH * sum(chunk.seconds for chunk in covered) / 60)
    scaled = tuple(share * (1 + len(covered) / 4) for share in worth)
    after = tuple(joins[i] for i in range(first, last))
    return PlanTask(
        kind,
        first,
        last,
        minutes=minutes,
        worth=scaled,
        after=after,
        needed=frozenset(n for chunk in covered for n in chunk.needed),
    )
